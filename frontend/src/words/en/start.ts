export const start = {
  'start.title': 'Your first tree',
} as const;
