import { describe, expect, it } from 'vitest';

import { along, axisOf, dotsOf } from './axis';

describe('the axis of a measure', () => {
  it('ends on round numbers around all values', () => {
    expect(axisOf([43, 97], false)).toEqual({ low: 40, high: 100, isCounts: false });
    expect(axisOf([0.31, 0.52], false)?.low).toBeCloseTo(0.3);
  });

  it('gives few whole numbers a block each, and many of them a line', () => {
    expect(axisOf([3, 12], true)).toEqual({ low: 2.5, high: 12.5, isCounts: true });
    expect(axisOf([3, 300], true)?.isCounts).toBe(false);
  });

  it('is none where nothing is known, and has a width where all values are one', () => {
    expect(axisOf([], false)).toBeUndefined();
    const one = axisOf([50, 50], false)!;
    expect(one.high).toBeGreaterThan(one.low);
    expect(along(one, 50, 100)).toBeGreaterThanOrEqual(0);
  });
});

describe('dots', () => {
  const axis = axisOf([0, 100], false)!;
  const room = { width: 100, tall: 40, size: 5 };

  it('are as many as the values, each near its own', () => {
    const dots = dotsOf([0, 20, 20, 100], axis, room);
    expect(dots).toHaveLength(4);
    expect(dots.map(({ x }) => x)).toEqual([0, 20, 20, 100]);
    expect(dots[2]!.y).toBe(dots[1]!.y - 5);
  });

  it('never rise above their room', () => {
    const dots = dotsOf(Array<number>(50).fill(30), axis, room);
    expect(Math.min(...dots.map(({ y }) => y))).toBeGreaterThanOrEqual(-40);
    expect(new Set(dots.map(({ y }) => y)).size).toBe(50);
  });

  it('of a count stand in the block of that count alone', () => {
    const counts = axisOf([2, 6], true)!;
    const dots = dotsOf([2, 2, 2, 2, 6], counts, { width: 100, tall: 20, size: 4 });
    const left = dots.slice(0, 4);
    expect(Math.max(...left.map(({ x }) => x))).toBeLessThan(along(counts, 2.5, 100));
    expect(Math.min(...left.map(({ x }) => x))).toBeGreaterThan(along(counts, 1.5, 100));
  });
});
