import { expect, it } from 'vitest';

import { emptied } from './emptied';
import type { PlanBench } from './types';

const SPOT = {
  tree: 'T1',
  name: 'Wren',
  x_mm: 300,
  y_mm: 300,
  width_mm: 500,
  height_mm: 600,
  pot_length_mm: null,
  pot_depth_mm: null,
  state: 'quiet' as const,
};
const place = (name: string, x_mm = 0): PlanBench => ({
  name,
  x_mm,
  y_mm: 0,
  length_mm: 1800,
  depth_mm: 600,
  spots: [SPOT],
});
const [front, back] = [place('front'), place('back', 5000)];

it('an emptied place is one that the plan has lost, without its trees and where it lay', () => {
  expect(emptied([], [front, back], [back])).toEqual([{ ...front, spots: [] }]);
});

it('it stays known while other things change, and goes once a tree stands there again', () => {
  const known = emptied([], [front, back], [back]);
  expect(emptied(known, [back], [back])).toEqual(known);
  expect(emptied(known, [back], []).map((bench) => bench.name)).toEqual(['front', 'back']);
  expect(emptied(known, [back], [front, back])).toEqual([]);
});

it('there is none before a plan was seen, and none where no place was written down or no tree stood', () => {
  expect(emptied([], [], [front])).toEqual([]);
  expect(emptied([], [place(''), back], [back])).toEqual([]);
  expect(emptied([], [{ ...front, spots: [] }, back], [back])).toEqual([]); // added, and taken back
});
