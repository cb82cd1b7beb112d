import { expect, it } from 'vitest';

import { dayShown, dayPlus, daysBetween } from './days';

it.each([
  ['2027-03-01', -1, '2027-02-28'],
  ['2028-03-01', -1, '2028-02-29'], // a leap year
  ['2026-12-31', 1, '2027-01-01'],
  ['2027-03-28', 1, '2027-03-29'], // clocks change in Europe; days do not
])('%s and %i days is %s', (day, days, other) => {
  expect(dayPlus(day, days)).toBe(other);
  expect(daysBetween(day, other)).toBe(days);
});

it('writes a whole day as it is read and leaves all else', () => {
  expect(dayShown('2027-03-07', 'en-GB')).toBe('7 Mar 2027');
  expect(dayShown('2027-05-09', 'de')).toBe('9. Mai 2027');
  expect(dayShown('spring 2021', 'en')).toBe('spring 2021');
  expect(dayShown('2027-13-45', 'en')).toBe('2027-13-45');
});
