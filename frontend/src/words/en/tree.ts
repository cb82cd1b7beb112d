export const tree = {
  'tree.title': 'Tree',
  'tree.dial_zoom': 'Zoom of the dial',
  'tree.dial_nearer': 'Nearer',
  'tree.dial_farther': 'Farther',
} as const;
