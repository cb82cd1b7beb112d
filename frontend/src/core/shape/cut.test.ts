import { describe, expect, it } from 'vitest';

import { between, cornerWays, cutPlace, readOut, segmentAt, wholeWay } from './cut';
import type { CutLine } from './types';

/**
 * A trunk of three segments that leans: nodes at 0, 100, 200 and 250 mm along. At 100 a branch hangs down and out with
 * three tips; at 200 one rises above the trunk's top with two. Written by hand, so that every figure can be checked.
 */
const line: CutLine = {
  along_mm: [0, 100, 200, 250],
  x_mm: [0, 0, 60, 60],
  y_mm: [0, 0, 0, 0],
  z_mm: [0, 100, 180, 230],
  diameter_mm: [40, 30, 20, 6],
  girth_mm: [126, 94, 63, 19],
  tips: [0, 3, 2, 1],
  top_mm: [null, 90, 300, null],
  left_mm: [null, -150, 55, null],
  right_mm: [null, -20, 120, null],
  trunk_rows: [0, 1, 5],
  node: [0, 1, 1, 1, 1, 2, 2],
  branch: [-1, -1, 0, 0, 0, -1, 1],
  base_girth_mm: 120,
};
const branches = [{ along_mm: 100 }, { along_mm: 200 }];

describe('a cut through the trunk', () => {
  it('between two branches parts them', () => {
    const cut = readOut(line, branches, 150);
    expect(cut.z_mm).toBe(140);
    expect(cut.girth_mm).toBe(78.5);
    expect(cut.above).toEqual({
      height_mm: 160, // the branch that rises to 300, from the cut at 140
      girth_mm: 78.5,
      height_to_girth: 160 / 78.5,
      width_mm: 90, // from the cut at x 30 to 120
      branches: 1,
      tips: 3,
    });
    expect(cut.below).toEqual({
      height_mm: 140,
      girth_mm: 120,
      height_to_girth: 140 / 120,
      width_mm: 180, // from -150 to the cut at x 30
      branches: 1,
      tips: 3,
    });
  });

  it('takes a branch off at its own node, and leaves it just above', () => {
    expect(readOut(line, branches, 100).above.branches).toBe(2);
    expect(readOut(line, branches, 100).below.tips).toBe(0);
    expect(readOut(line, branches, 100.001).below.branches).toBe(1);
    expect(readOut(line, branches, 100.001).below.tips).toBe(3);
  });

  it('leaves a branch that reaches higher than the cut', () => {
    const cut = readOut(line, branches, 201);
    expect(cut.below.height_mm).toBe(300);
    expect(cut.above.tips).toBe(1);
  });

  it.each([0, 30, 99.9, 160, 200, 240])('loses no tip and no branch at %d mm', (along) => {
    const cut = readOut(line, branches, along);
    expect(cut.above.tips + cut.below.tips).toBe(6);
    expect(cut.above.branches + cut.below.branches).toBe(2);
    expect(Math.max(cut.z_mm + cut.above.height_mm, cut.below.height_mm)).toBe(300);
  });

  it('has no height to girth where there is no girth', () => {
    const bare = { ...line, base_girth_mm: 0 };
    expect(readOut(bare, branches, 150).below.height_to_girth).toBeNull();
  });
});

it('a way lies in one segment, also at the ends and beyond them', () => {
  expect(segmentAt(line, 0)).toEqual({ index: 0, share: 0 });
  expect(segmentAt(line, 100)).toEqual({ index: 1, share: 0 });
  expect(segmentAt(line, 225)).toEqual({ index: 2, share: 0.5 });
  expect(segmentAt(line, 250)).toEqual({ index: 2, share: 1 });
  expect(segmentAt(line, 999)).toEqual({ index: 2, share: 1 });
  expect(between(line.girth_mm, segmentAt(line, 225))).toBe(41);
  expect(wholeWay(line)).toBe(250);
});

it('the plane stands across the trunk where it cuts', () => {
  const { at, way } = cutPlace(line, 150);
  expect(at).toEqual([30, 0, 140]);
  expect(way.map((value) => +value.toFixed(6))).toEqual([0.6, 0, 0.8]);
});

it('corners of the trunk have their own way, those of a branch that of its node', () => {
  const positions = [0, 5, 50, 0, -5, 50, 30, 8, 140, -90, 0, 20, 120, 0, 300, 60, 0, 400];
  const rows = [0, 0, 1, 3, 6, 5];
  const ways = [...cornerWays(line, positions, rows)].map((way) => +way.toFixed(3));
  expect(ways).toEqual([50, 50, 150, 100, 200, 250]);
});
