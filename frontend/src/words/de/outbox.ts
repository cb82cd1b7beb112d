import type { LikeEnglish } from '../catalogue';
import type { outbox as english } from '../en/outbox';

export const outbox: LikeEnglish<typeof english> = {
  'outbox.kept': 'Auf diesem Gerät aufgehoben. Der Eintrag wird gesendet, sobald Ringwise wieder antwortet.',
  'outbox.sent': {
    one: 'Ein Eintrag von diesem Gerät wurde gespeichert.',
    other: '{count} Einträge von diesem Gerät wurden gespeichert.',
  },
  'outbox.only_here': {
    one: 'Ein Eintrag nur auf diesem Gerät',
    other: '{count} Einträge nur auf diesem Gerät',
  },
  'outbox.refused': 'Nicht gespeichert: {line}',
  'outbox.delete': 'Löschen',
  'outbox.will_be_sent': 'Wird von selbst gesendet, sobald Ringwise wieder antwortet.',
};
