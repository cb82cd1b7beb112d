import { expect, it } from 'vitest';

import { dayPlus, daysBetween } from './days';

it.each([
  ['2027-03-01', -1, '2027-02-28'],
  ['2028-03-01', -1, '2028-02-29'], // a leap year
  ['2026-12-31', 1, '2027-01-01'],
  ['2027-03-28', 1, '2027-03-29'], // clocks change in Europe; days do not
])('%s and %i days is %s', (day, days, other) => {
  expect(dayPlus(day, days)).toBe(other);
  expect(daysBetween(day, other)).toBe(days);
});
