import type { LikeEnglish } from '../catalogue';
import type { start as english } from '../en/start';

export const start: LikeEnglish<typeof english> = {
  'start.title': 'Der erste Baum',
};
