export const outbox = {
  'outbox.kept': 'Kept on this device. It is sent when Ringwise answers again.',
  'outbox.sent': {
    one: 'One entry from this device was stored.',
    other: '{count} entries from this device were stored.',
  },
  'outbox.only_here': { one: 'One entry only on this device', other: '{count} entries only on this device' },
  'outbox.refused': 'Not stored: {line}',
  'outbox.delete': 'Delete',
  'outbox.will_be_sent': 'Sent by itself when Ringwise answers again.',
} as const;
