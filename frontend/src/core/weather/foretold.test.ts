import { expect, it } from 'vitest';

import { foretold, type ForetoldLine } from './foretold';

const line = (year: number, seen_at: number, more: Partial<ForetoldLine> = {}): ForetoldLine => ({
  year,
  low_at: 100,
  median_at: 110,
  high_at: 120,
  seen_at,
  mean_at: null,
  ...more,
});
const BOX = { left: 50, right: 350, top: 10 };

it('keeps springs in the order given, each below the last, lines one below the other', () => {
  const { springs, height } = foretold([line(2026, 105), line(2026, 108), line(2025, 112)], BOX);
  expect(springs.map((spring) => [spring.year, spring.marks.length])).toEqual([
    [2026, 2],
    [2025, 1],
  ]);
  const ys = springs.flatMap((spring) => spring.marks.map((mark) => mark.y));
  expect(ys).toEqual([...ys].sort((a, b) => a - b));
  expect(springs[1]!.top).toBeGreaterThan(springs[0]!.bottom);
  expect(height).toBe(springs[1]!.bottom);
});

it('draws what was missed from the near end of the band to the day seen', () => {
  const { springs, x } = foretold([line(2026, 90), line(2026, 110), line(2026, 125)], BOX);
  const missed = springs[0]!.marks.map((mark) => mark.missed);
  expect(missed).toEqual([[x(100), x(90)], null, [x(120), x(125)]]);
});

it('stays inside its box, also where all is one day, and without lines', () => {
  const same = { low_at: 100, median_at: 100, high_at: 100 };
  for (const lines of [[line(2026, 60), line(2025, 170, { mean_at: 180 })], [line(2026, 100, same)]]) {
    const { springs } = foretold(lines, BOX);
    for (const mark of springs.flatMap((spring) => spring.marks)) {
      for (const at of [...mark.band, mark.middle, mark.seen, mark.mean ?? mark.seen]) {
        expect(at).toBeGreaterThanOrEqual(BOX.left);
        expect(at).toBeLessThanOrEqual(BOX.right);
      }
    }
  }
  expect(foretold([], BOX)).toMatchObject({ springs: [], height: BOX.top });
});

it('sets many lines closer', () => {
  const height = (n: number) =>
    foretold(
      Array.from({ length: n }, () => line(2026, 105)),
      BOX,
    ).height;
  expect(height(41)).toBeLessThan(height(40));
});
