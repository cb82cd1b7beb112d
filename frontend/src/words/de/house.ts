import type { LikeEnglish } from '../catalogue';
import type { house as english } from '../en/house';

export const house: LikeEnglish<typeof english> = {
  'house.title_block': 'Schriftfeld',
  'house.today': 'Heute',
  'house.yard': 'Garten',
  'house.room_missing': 'Dieser Raum ließ sich nicht laden. Läuft Ringwise noch? Laden Sie die Seite neu.',
  'house.nowhere': 'Unter dieser Adresse ist nichts',
  'house.nowhere_way': '{path} gehört zu keinem Raum. Unten geht es zum Garten oder zu heute.',
};
