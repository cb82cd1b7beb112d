export const tree = {
  'tree.title': 'Tree',
} as const;
