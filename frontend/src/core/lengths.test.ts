import { expect, it } from 'vitest';

import { lengthShown } from './lengths';

it.each([
  [420, 'metric', 'en', '42\u202fcm'],
  [75, 'metric', 'de', '7,5\u202fcm'],
  [419.1, 'inch', 'en', '16 1/2\u202fin'],
  [19.05, 'inch', 'en', '3/4\u202fin'],
  [304.8, 'inch', 'en', '12\u202fin'],
] as const)('%f mm for %s readers in %s is %s', (length_mm, units, locale, shown) => {
  expect(lengthShown(length_mm, units, locale)).toBe(shown);
});
