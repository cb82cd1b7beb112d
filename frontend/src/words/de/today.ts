import type { LikeEnglish } from '../catalogue';
import type { today as english } from '../en/today';

export const today: LikeEnglish<typeof english> = {
  'today.title': 'Heute',
};
