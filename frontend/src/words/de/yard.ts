import type { LikeEnglish } from '../catalogue';
import type { yard as english } from '../en/yard';

export const yard: LikeEnglish<typeof english> = {
  'yard.title': 'Garten',
};
