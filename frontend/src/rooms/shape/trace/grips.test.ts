import { expect, it } from 'vitest';

import { nearestGrip, overlapped, type Grip } from './grips';

it('each stretch under other wood has both edges at its middle, unless it is short', () => {
  const at = (y: number) => [0, 1, 2, 3, 4, 5, 6, 7].map((x) => [x, y]);
  const clean = [true, false, false, false, true, false, false, true];
  expect(overlapped({ id: 'b1', left: at(-2), right: at(2), clean })).toEqual([
    {
      branch: 'b1',
      pair: [
        [2, -2],
        [2, 2],
      ],
    },
  ]);
  const last = overlapped({ id: 'b1', left: at(-2), right: at(2), clean: clean.map((_each, i) => i < 4) });
  expect(last[0]!.pair[0]).toEqual([5, -2]);
});

it('the nearer of two edges is taken, and an edge before a point', () => {
  const run = { branch: 'b1', pair: [] };
  const grips: Grip[] = [
    { of: 'place', index: 0, place: [10, 0] },
    { of: 'edge', run, side: 0, place: [10, -4] },
    { of: 'edge', run, side: 1, place: [10, 4] },
  ];
  expect(nearestGrip(grips, [10, 3], 8)).toBe(2);
  expect(nearestGrip(grips, [10, -1], 8)).toBe(1);
  expect(nearestGrip(grips, [10, 0.5], 2)).toBe(0);
  expect(nearestGrip(grips, [40, 0], 8)).toBe(-1);
});
