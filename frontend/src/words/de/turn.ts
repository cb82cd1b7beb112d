import type { LikeEnglish } from '../catalogue';
import type { turn as english } from '../en/turn';

export const turn: LikeEnglish<typeof english> = {
  'turn.how':
    'Die Fotos einer Runde wählen: 24 aus zwei Höhen sind gut, 8 ringsum das Mindeste. Sie bleiben aus den Aufzeichnungen, bis der Baum behalten wird.',
  'turn.choose': 'Fotos wählen',
  'turn.more': 'Weitere Fotos wählen',
  'turn.sending': '{sent} von {wanted} Fotos übernommen',
  'turn.square': 'Seite eines Feldes der Tafel',
  'turn.square_hint':
    'Wie gedruckt, mit dem Lineal: zehn Felder, geteilt durch zehn. Leer, wo sie in ihrer eigenen Größe gedruckt ist.',
  'turn.columns': 'Felder von links nach rechts',
  'turn.count_hint': 'Leer für die Tafel, wie sie kommt.',
  'turn.rows': 'Felder von hinten nach vorn',
  'turn.soil': 'Höhe der Erde über der Tafel',
  'turn.pot': 'Äußere Breite der Schale',
  'turn.pot_hint':
    'Etwa 24 cm oder 42 x 31 cm; prüft die Größe des Drucks. Leer für die Schale der Aufzeichnungen.',
  'turn.rod': 'Durchmesser eines Stabs in der Schale',
  'turn.rod_hint': 'Ein aufrechter Stab bekannter Dicke prüft die Kanten. Leer, wo keiner steht.',
  'turn.measure': 'Messen',
  'turn.again': 'Noch einmal messen',
  'turn.measuring': 'Es wird gemessen: {share} von 100',
  'turn.progress': 'Wie weit das Messen ist',
  'turn.stop': 'Anhalten',
  'turn.stopped': 'Angehalten. Was gelesen ist, bleibt für das nächste Messen.',
  'turn.keep': 'Diesen Baum behalten',
  'turn.drop': 'Verwerfen',
  'turn.photos': { one: '{count} Foto', other: '{count} Fotos' },
  'turn.verdict_waiting': 'wartet',
  'turn.verdict_read': 'gelesen',
  'turn.verdict_used': 'verwendet',
  'turn.verdict_left_out': 'ausgelassen',
  'turn.picture': 'Foto {name}',
  'turn.drawn_over': 'Die Flanken der gemessenen Äste',
  'turn.before': 'Voriges Foto',
  'turn.next': 'Nächstes Foto',
  'turn.which': '{name}, {number} von {all}',
  'turn.bare': 'Nur das Foto',
};
