import type { LikeEnglish } from '../catalogue';
import type { tree as english } from '../en/tree';

export const tree: LikeEnglish<typeof english> = {
  'tree.title': 'Baum',
  'tree.dial_zoom': 'Vergrößerung der Scheibe',
  'tree.dial_nearer': 'Näher',
  'tree.dial_farther': 'Weiter weg',
};
