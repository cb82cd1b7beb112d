import type { LikeEnglish } from '../catalogue';
import type { settings as english } from '../en/settings';

export const settings: LikeEnglish<typeof english> = {
  'settings.title': 'Einstellungen',
};
