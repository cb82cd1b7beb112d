import type { LikeEnglish } from '../catalogue';
import type { tree as english } from '../en/tree';

export const tree: LikeEnglish<typeof english> = {
  'tree.title': 'Baum',
};
