import { describe, expect, it } from 'vitest';

import type { Schema } from '../../../api/client';
import { byYear, yearOf } from './byYear';

const NORTH = [
  { label: 2026, first: '2025-11-01' },
  { label: 2027, first: '2026-11-01' },
];
const SOUTH = [{ label: 2027, first: '2027-05-01' }];

const entry = (id: string, latest: string | null): Schema<'Entry'> =>
  ({ id, on: { latest, earliest: latest } }) as unknown as Schema<'Entry'>;

describe('the growing year of a day', () => {
  it.each([
    ['2026-10-31', 2026],
    ['2026-11-01', 2027],
    ['2027-03-07', 2027],
    ['2019-04-01', 2019],
    ['2028-11-02', 2029],
  ])('in the north: %s lies in %i', (day, label) => {
    expect(yearOf(day, NORTH)).toBe(label);
  });

  it.each([
    ['2027-04-30', 2026],
    ['2027-05-01', 2027],
    ['2028-01-01', 2027],
  ])('in the south, where the label may be that of the year it begins in: %s lies in %i', (day, label) => {
    expect(yearOf(day, SOUTH)).toBe(label);
  });

  it('is unknown without a day', () => {
    expect(yearOf(null, NORTH)).toBeNull();
    expect(yearOf('2027-01-01', [])).toBeNull();
  });
});

it('entries are parted where the year changes, in the order they came', () => {
  const groups = byYear(
    [entry('a', '2027-02-01'), entry('b', '2026-11-03'), entry('c', '2026-06-01'), entry('d', null)],
    NORTH,
  );
  expect(groups.map(({ label, entries }) => [label, entries.map(({ id }) => id)])).toEqual([
    [2027, ['a', 'b']],
    [2026, ['c']],
    [null, ['d']],
  ]);
});
