import type { LikeEnglish } from '../catalogue';
import type { today as english } from '../en/today';

export const today: LikeEnglish<typeof english> = {
  'today.title': 'Heute',
  'today.weather': 'Wetter',
  'today.water': 'Gießen',
  'today.watered': 'Gegossen',
  'today.watered_label': 'Gegossen: {what}',
  'today.watered_now': 'Als gegossen eingetragen',
  'today.log': 'Eintragen',
  'today.log_label': 'Eintragen: {work}, {tree}',
  'today.reasons': 'Gründe',
  'today.later': { one: '{count} Arbeit später', other: '{count} Arbeiten später' },
  'today.left_alone': 'In Ruhe gelassen',
  'today.left_alone_count': {
    one: '{count} Arbeit wird nicht vorgeschlagen, und warum',
    other: '{count} Arbeiten werden nicht vorgeschlagen, und warum',
  },
  'today.conflicts': 'Steht sich im Weg',
  'today.pair': '{earlier}, dann {later}',
  'today.way_out': 'Ausweg',
  'today.overridden': {
    one: '{count} Konflikt wurde hingenommen',
    other: '{count} Konflikte wurden hingenommen',
  },
  'today.accepted_because': 'Hingenommen: {reason}',
  'today.notes': 'Hinweise',
  'today.empty': 'Hier wird stehen, was die Bäume am jeweiligen Tag brauchen.',
  'today.first_tree': 'Erste Schritte',
  'today.next_place':
    'Noch ist nicht bekannt, wo die Bäume stehen; ohne den Ort lässt sich kein Zeitfenster berechnen.',
  'today.next_weather': 'Noch gibt es kein Wetter; ohne Wetter lässt sich kein Zeitfenster berechnen.',
};
