export const today = {
  'today.title': 'Today',
} as const;
