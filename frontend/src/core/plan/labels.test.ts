import { describe, expect, it } from 'vitest';

import { placedLabels, type Setting, type Wanted } from './labels';
import { overlaps } from './types';

describe('names', () => {
  const setting: Setting = {
    measure: (text) => text.length * 8,
    line: 18,
    gap: 6,
    taken: [],
    within: { left: 0, right: 400 },
  };
  const want = (key: string, x: number, name: string, rank = 3): Wanted => ({
    key,
    x,
    y: 100,
    name,
    id: key,
    rank,
  });

  it('stand whole where there is room', () => {
    const placed = placedLabels([want('T1', 60, 'Hollow Lane'), want('T2', 200, 'Wren')], setting);
    expect(placed.map((each) => each.lines)).toEqual([['Hollow Lane'], ['Wren']]);
  });

  it('go into two lines, then to the id, then away; the rank decides who keeps the name', () => {
    const placed = placedLabels(
      [want('T1', 100, 'Three Sisters', 1), want('T2', 130, 'Hedge Clerk'), want('T3', 115, 'Boundary', 2)],
      setting,
    );
    expect(placed.find((each) => each.key === 'T1')?.lines).toEqual(['Three Sisters']);
    for (const [i, a] of placed.entries()) {
      for (const b of placed.slice(i + 1)) expect(overlaps(a.box, b.box)).toBe(false);
    }
  });

  it.each([20, 35, 50, 80, 120])('never overlap at a pitch of %i px, nor cover what is taken', (pitch) => {
    const taken = [{ left: 0, right: 90, top: 110, bottom: 130 }];
    const names = ['Three Sisters', 'Hedge Clerk', 'Copperhead', 'May Day', 'Redpost (7)', 'Little Lime'];
    const wanted = Array.from({ length: 24 }, (_, i) => ({
      ...want(`T${i}`, (i % 8) * pitch, names[i % 6]!, i % 4),
      y: 60 + 50 * Math.floor(i / 8),
    }));
    const placed = placedLabels(wanted, { ...setting, taken });
    expect(placed.length).toBeGreaterThan(4);
    for (const [i, a] of placed.entries()) {
      expect(a.box.left).toBeGreaterThanOrEqual(-setting.gap);
      expect(overlaps(a.box, taken[0]!)).toBe(false);
      for (const b of placed.slice(i + 1)) expect(overlaps(a.box, b.box)).toBe(false);
    }
  });

  it('stay on their bench, and hang over its end only where they are longer than it or nothing else fits', () => {
    const bench = { left: 100, right: 300 };
    const ends = [want('T1', 110, 'Hollow Lane'), want('T2', 290, 'Redpost (7)')];
    for (const each of placedLabels(
      ends.map((one) => ({ ...one, bench })),
      setting,
    )) {
      const half = Math.max(...each.lines.map(setting.measure)) / 2;
      expect(each.lines).toHaveLength(1);
      expect(each.x - half).toBeGreaterThanOrEqual(bench.left);
      expect(each.x + half).toBeLessThanOrEqual(bench.right);
    }
    // without a bench the same names stand in the middle under their trees
    expect(placedLabels(ends, setting).map((each) => each.x)).toEqual([110, 290]);

    const short = { left: 160, right: 240 };
    expect(placedLabels([{ ...want('T1', 200, 'Hollow Lane'), bench: short }], setting)).toMatchObject([
      { lines: ['Hollow Lane'], x: 200 },
    ]);

    const taken = [{ left: 100, right: 300, top: 90, bottom: 200 }];
    const pushed = placedLabels([{ ...want('T1', 60, 'Wren'), bench }], { ...setting, taken });
    expect(pushed).toMatchObject([{ lines: ['Wren'], x: 60 }]);
  });

  it('have no line across the front edge of their bench: below it whole, else parted by it, else as an id', () => {
    const one = { ...want('T1', 100, 'Three Sisters', 1), edge: 130 }; // 30 px: room for one line of 18
    const other = { ...want('T2', 185, 'Hedge Clerk', 2), edge: 130 };
    const lineTops = (placed: { ys: number[] }): number[] => placed.ys.map((y) => y - 0.78 * setting.line);
    const second = (taken: Setting['taken']) => placedLabels([one, other], { ...setting, taken })[1];

    const below = second([]);
    expect(below?.lines).toEqual(['Hedge Clerk']);
    expect(lineTops(below!)[0]).toBeGreaterThan(130);

    const left = { left: 0, right: 155, top: 131, bottom: 150 };
    const narrow = second([left]);
    expect(narrow?.lines).toEqual(['Hedge', 'Clerk']);
    expect(lineTops(narrow!)[0]).toBeGreaterThan(130);

    const parted = second([left, { left: 150, right: 300, top: 152, bottom: 170 }]);
    expect(parted?.lines).toEqual(['Hedge', 'Clerk']);
    expect(lineTops(parted!)[0]! + setting.line).toBeLessThan(130);
    expect(lineTops(parted!)[1]).toBeGreaterThan(130);

    expect(second([{ left: 0, right: 400, top: 131, bottom: 170 }])?.lines).toEqual(['T2']);
    // deep in a bed no edge is near, and two lines stay together under the tree
    const deep = placedLabels(
      [one, other].map((each) => ({ ...each, edge: 300 })),
      setting,
    )[1]!;
    expect(deep.lines).toEqual(['Hedge', 'Clerk']);
    expect(lineTops(deep)).toEqual([100, 118].map((top) => expect.closeTo(top, 6)));
  });

  it('give way where nothing fits', () => {
    expect(placedLabels([want('T1', 5, 'Long')], { ...setting, within: { left: 0, right: 10 } })).toEqual([]);
  });
});
