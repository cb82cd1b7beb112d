export const yard = {
  'yard.title': 'Yard',
} as const;
