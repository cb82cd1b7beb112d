import type { LikeEnglish } from '../catalogue';
import type { trace as english } from '../en/trace';

export const trace: LikeEnglish<typeof english> = {
  'trace.intro':
    'Ein Foto von vorn und eines von der Seite, auf Höhe der Baummitte und vor schlichtem Hintergrund. Auf jedem eine bekannte Länge markieren, dann Stamm und Äste vom Ansatz zur Spitze anklicken.',
  'trace.front': 'Vorn',
  'trace.side': 'Seite',
  'trace.choose_front': 'Welches Foto von vorn?',
  'trace.choose_side':
    'Welches Foto von der Seite? Ohne eines ist nur geschätzt, wie weit Äste nach hinten reichen.',
  'trace.photo_of': 'Foto vom {day}',
  'trace.take': 'Ein Foto hinzufügen',
  'trace.pane': '{view}: vom Ansatz zur Spitze klicken',
  'trace.pane_scale': '{view}: beide Enden der bekannten Länge anklicken',
  'trace.scale': 'Maßstab',
  'trace.scale_rim': 'Den Rand der Schale am linken und am rechten Ende anklicken.',
  'trace.scale_rule': 'Zwei Marken eines Maßstabs anklicken, der am Stamm steht.',
  'trace.scale_of': 'Die bekannte Länge ist',
  'trace.kind_rim': 'der Rand der Schale',
  'trace.kind_rule': 'ein Maßstab am Stamm',
  'trace.length': 'Ihre Länge',
  'trace.length_hint': 'In {unit}, oder mit eigener Einheit.',
  'trace.focal': 'Brennweite, auf Kleinbild bezogen',
  'trace.focal_hint': 'leer, wo das Foto sie nennt',
  'trace.branch': 'Ast',
  'trace.trunk': 'Stamm',
  'trace.branch_n': 'Ast {n}',
  'trace.next': 'Nächster Ast',
  'trace.remove': 'Diesen Ast entfernen',
  'trace.nearer': 'Näher',
  'trace.farther': 'Weiter weg',
  'trace.whole': 'Ganz',
  'trace.undo': 'Letzten Punkt zurücknehmen',
  'trace.keys':
    'Tasten auf einem Foto: Pfeile bewegen das Kreuz oder den gewählten Punkt, Eingabe setzt einen Punkt, Bild auf und Bild ab wählen einen, Rücktaste nimmt zurück, + und − holen näher. Kupfer markiert eine Kante, über der anderes Holz liegt. Der gewählte Ast hat dort Griffe: einen auf die wahre Kante ziehen, oder mit Bild ab wählen, verschieben und Eingabe drücken; Escape legt ihn zurück.',
  'trace.point_n': 'Punkt {n} von {all}',
  'trace.edge_n': 'Kante unter anderem Holz, {n} von {all}',
  'trace.last': 'Die Nachzeichnung vom {day} verbessern',
  'trace.empty': 'Neu beginnen',
  'trace.lacks_photo': 'Es fehlt noch: das Foto von vorn.',
  'trace.lacks_scale':
    'Es fehlen noch: beide Enden einer bekannten Länge auf jedem Foto und wie lang sie ist.',
  'trace.lacks_trunk': 'Es fehlt noch: der Stamm vom Boden bis zum Ende, auf jedem Foto.',
  'trace.drawn_front': 'Der Baum bis jetzt, von vorn',
  'trace.drawn_side': 'Der Baum bis jetzt, von der Seite',
  'trace.save': 'Diesen Baum behalten',
};
