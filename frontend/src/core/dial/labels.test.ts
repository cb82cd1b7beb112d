import { describe, expect, it } from 'vitest';

import { at } from './geometry';
import { clearOf, meet, onRim, placedLabels, placedNames } from './labels';
import type { WindowArc } from './marks';

const ring = (label: number, radius: number) => ({ label, radius, wide: 100 });

describe('labels of rings', () => {
  it('stand left where nothing is in the way', () => {
    expect(placedLabels([ring(2020, 100), ring(2025, 200)], [], 20, 5)).toEqual([
      { label: 2020, side: 'left', down: 0 },
      { label: 2025, side: 'left', down: 0 },
    ]);
  });

  it('go to the side with fewer marks, and over where one is in the way', () => {
    const marks = [
      { x: -50, y: -190 },
      { x: -50, y: -90 },
      { x: 40, y: -290 },
    ];
    const rings = [ring(2020, 100), ring(2025, 200), ring(2027, 300)];
    expect(placedLabels(rings, marks, 20, 5)).toEqual([
      { label: 2020, side: 'right', down: 0 },
      { label: 2025, side: 'right', down: 0 },
      { label: 2027, side: 'left', down: 0 },
    ]);
  });

  it('are left out where both sides are taken', () => {
    const marks = [
      { x: -50, y: -190 },
      { x: 50, y: -190 },
    ];
    const older = [ring(2020, 200), ring(2025, 300)];
    expect(placedLabels(older, marks, 20, 5).map(({ label }) => label)).toEqual([2025]);
  });

  it('of today stand further in rather than being left out, but on no other label', () => {
    const marks = [
      { x: -50, y: -190 },
      { x: 50, y: -190 },
    ];
    const [only] = placedLabels([ring(2027, 200)], marks, 20, 5);
    expect(only).toMatchObject({ label: 2027, side: 'left' });
    expect(-200 + only!.down).toBeGreaterThanOrEqual(-190 + 5);
    const both = placedLabels([ring(2025, 185), ring(2027, 200)], marks, 20, 3);
    expect(both.map(({ label, side }) => [label, side])).toEqual([
      [2025, 'left'],
      [2027, 'right'],
    ]);
  });
});

describe('words on the rim', () => {
  it('stay on the sheet', () => {
    const [x] = onRim(0.25, 484, 120);
    expect(x + 60).toBeLessThanOrEqual(514);
    expect(onRim(0, 484, 120)[0]).toBeCloseTo(0);
  });

  it('leave out the month that today covers, and only that', () => {
    const months = Array.from({ length: 12 }, (_, i) => ({ frac: (i + 0.5) / 12, wide: 50, i }));
    const kept = clearOf(months, { frac: 4.6 / 12, wide: 90 }, 484, 30);
    expect(kept.map(({ i }) => i)).toEqual([0, 1, 2, 3, 5, 6, 7, 8, 9, 10, 11]);
  });
});

const arc = (from: number, to: number, radius: number, lane = 0): WindowArc =>
  ({ from, to, radius, lane, height: 24, window: {} }) as unknown as WindowArc;

/** First and last point of a path, as shares of the year. */
function ends(path: string): [number, number] {
  const points = path
    .split(/[ML]/)
    .filter(Boolean)
    .map((pair) => pair.split(' ').map(Number) as [number, number]);
  const share = ([x, y]: [number, number]) => (Math.atan2(x, -y) / (2 * Math.PI) + 1) % 1;
  const both = [share(points[0]!), share(points[points.length - 1]!)];
  return [Math.min(...both), Math.max(...both)];
}

describe('names of windows', () => {
  const wide = arc(0.3, 0.7, 320);
  const name = (
    arcs: WindowArc[],
    hand: number,
    marks: { angle: number; radius: number }[] = [],
    long = 150,
  ) => placedNames(arcs, () => long, 20, hand, marks, 6);

  it('run on a long arc, beside the hand', () => {
    for (const hand of [0.1, 0.35, 0.5, 0.65]) {
      const [only] = name([wide], hand);
      const [from, to] = ends(only!.path);
      expect(from).toBeGreaterThanOrEqual(0.299);
      expect(to).toBeLessThanOrEqual(0.701);
      expect(hand > from && hand < to).toBe(false);
    }
  });

  it('follow a short arc, or go before it where the hand stands after it', () => {
    const short = arc(0.4, 0.42, 320);
    expect(ends(name([short], 0.1)[0]!.path)[0]).toBeGreaterThan(0.42);
    expect(ends(name([short], 0.45)[0]!.path)[1]).toBeLessThan(0.4);
  });

  it('keep clear of marks and of windows beside them, and are left out where there is no room', () => {
    const short = arc(0.4, 0.42, 320);
    const after = { angle: 0.45 * 360, radius: 320 };
    const before = { angle: 0.37 * 360, radius: 320 };
    expect(ends(name([short], 0.9, [after])[0]!.path)[1]).toBeLessThan(0.4);
    expect(name([short], 0.9, [after, before])).toEqual([]);
    const names = name([short, arc(0.43, 0.5, 324, 1)], 0.9);
    expect(ends(names[0]!.path)[1]).toBeLessThan(0.4);
  });

  it('never lie on each other', () => {
    const names = name([arc(0.4, 0.42, 320), arc(0.4, 0.42, 330)], 0.9);
    const [a, b] = names.map(({ path }) => ends(path));
    expect(a![1] <= b![0] || b![1] <= a![0]).toBe(true);
  });
});

it('boxes meet only where they share ground', () => {
  const box = { left: 0, right: 2, top: 0, bottom: 2 };
  expect(meet(box, { left: 1, right: 3, top: 1, bottom: 3 })).toBe(true);
  expect(meet(box, { left: 2, right: 3, top: 0, bottom: 2 })).toBe(false);
  expect(at(0, 1)[1]).toBe(-1);
});
