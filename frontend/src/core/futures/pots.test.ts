import { expect, it } from 'vitest';

import { potsOf, potsUnder } from './pots';

const pot = { length_mm: 300, depth_mm: 70, shape: 'oval' };
const box = { length_mm: 420, depth_mm: 210, shape: 'rectangle' };

it('counts the box of a course beside the pot of the tree', () => {
  const courses = [{ cells: [{ pot: null }, { pot: box }] }, { cells: [{}] }];
  expect(potsOf({ pot, courses })).toEqual([pot, box]);
  expect(potsOf({ pot: null, courses })).toEqual([box]);
});

it('a tree in the ground has none', () => {
  expect(potsOf({ pot: null, courses: [] })).toEqual([]);
});

it('a stump keeps the pot, its layered top stands in none that is known', () => {
  expect(potsUnder(pot, true)).toEqual({ first: null, second: pot });
  expect(potsUnder(pot, false)).toEqual({ first: pot, second: null });
});
