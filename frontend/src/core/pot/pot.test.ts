import { describe, expect, it } from 'vitest';

import {
  across,
  ball,
  bar,
  boxOf,
  domeOf,
  fill,
  halfAt,
  holes,
  standing,
  surfaceOf,
  ties,
  trunk,
  walls,
} from './cut';
import {
  commonScale,
  depths,
  inLines,
  labelsBelow,
  mostHeight,
  pathThrough,
  profile,
  scaleBar,
  stops,
  toneOf,
} from './drawing';
import type { CutValues, Point } from './types';

const layer = (height_mm: number, median_v: number) => ({
  height_mm,
  median_v,
  low_v: median_v - 0.05,
  high_v: median_v + 0.05,
});

const tray: CutValues = {
  length_mm: 300,
  bottom_length_mm: 260,
  depth_mm: 80,
  wall_mm: 10,
  fill_floor_mm: 5,
  fill_height_mm: 70,
  dressing_mm: 5,
  tilt_deg: 0,
  trunk_mm: 40,
  ball: { length_mm: 220, depth_mm: 42 },
  hollow: { radius_mm: 30, depth_mm: 12 },
  holes: [
    { x_mm: -60, diameter_mm: 20, mesh_mm: 60 },
    { x_mm: 60, diameter_mm: 20, mesh_mm: 60 },
    { x_mm: 60, diameter_mm: 20, mesh_mm: 60 },
  ],
  ties: [
    { first_mm: -60, second_mm: 60 },
    { first_mm: 60, second_mm: -60 },
  ],
  bar: true,
  layers: [layer(0, 0.8), layer(35, 0.6), layer(70, 0.4)],
  saturated: { low_mm: 8, median_mm: 12, high_mm: 17 },
};
const tilted = { ...tray, tilt_deg: 30 };

/** Area of a closed outline, by the shoelace formula. */
function area(points: readonly Point[]): number {
  return Math.abs(
    points.reduce((sum, [x, y], i) => {
      const [nextX, nextY] = points[(i + 1) % points.length]!;
      return sum + (x * nextY - nextX * y) / 2;
    }, 0),
  );
}

describe('a cut', () => {
  it('widens from the floor to the rim as it was measured, and stands upright where it was not', () => {
    expect([halfAt(tray, 0), halfAt(tray, 40), halfAt(tray, 80)]).toEqual([130, 140, 150]);
    expect(halfAt({ ...tray, bottom_length_mm: null }, 0)).toBe(150);
  });

  it('fills a trapezium: half the sum of floor and surface times the height', () => {
    const [floor, top] = [2 * halfAt(tray, 5), 2 * halfAt(tray, 75)];
    expect(area(fill(tray))).toBeCloseTo(((floor + top) / 2) * 70, 6);
  });

  it('keeps every length and area when it is tilted, and raises the far end', () => {
    expect(area(fill(tilted))).toBeCloseTo(area(fill(tray)), 6);
    const [[x1, y1], [x2, y2]] = across(tilted, surfaceOf(tilted));
    expect(Math.hypot(x2 - x1, y2 - y1)).toBeCloseTo(2 * halfAt(tray, 75), 6);
    expect(y2 - y1).toBeCloseTo(2 * halfAt(tray, 75) * 0.5, 6); // the sine of 30 degrees
  });

  it.each([tray, tilted])('has its lowest point of the fill at the origin', (cut) => {
    expect(Math.min(...fill(cut).map(([, y]) => y))).toBeCloseTo(0, 9);
    expect(standing(cut)(-halfAt(cut, 5), 5)).toEqual([0, 0]);
  });

  it('has the ball within the fill, hanging from the surface, with the hollow cut out of it', () => {
    const outline = ball(tray);
    const ys = outline.map(([, y]) => y);
    expect(Math.max(...ys)).toBeCloseTo(70, 6);
    expect(Math.min(...ys)).toBeCloseTo(28, 6);
    const whole = area(ball({ ...tray, hollow: null }));
    // a circular segment of half chord 30 and height 12, from its own formula
    const bow = (30 ** 2 + 12 ** 2) / 24;
    const segment = bow ** 2 * Math.acos((bow - 12) / bow) - (bow - 12) * 30;
    expect(whole - area(outline)).toBeCloseTo(segment, -1);
    expect(area(domeOf(tray))).toBeCloseTo(segment, -1);
    expect(ball({ ...tray, ball: null })).toEqual([]);
    expect(domeOf({ ...tray, hollow: null })).toEqual([]);
  });

  it('draws holes and ties that lie behind one another once', () => {
    expect(holes(tray)).toHaveLength(2);
    expect(ties(tray)).toHaveLength(1);
    const [from, to] = holes(tray)[0]!.mesh;
    expect(to[0] - from[0]).toBeCloseTo(60, 6);
  });

  it('has a bar only where one is asked for, and a trunk only where one was measured', () => {
    expect(bar(tray)).toHaveLength(2);
    expect(bar({ ...tray, bar: false })).toEqual([]);
    expect(trunk({ ...tray, trunk_mm: null })).toEqual([]);
  });

  it('takes up the room of its walls, with what stands above and lies below', () => {
    const box = boxOf(tray);
    expect(box.right - box.left).toBeCloseTo(320, 6);
    expect(box.bottom).toBeCloseTo(-5 - 10 - 2, 6);
    expect(walls(tray)).toHaveLength(8);
  });
});

describe('on the screen', () => {
  it('several cuts have one scale by which the largest fits', () => {
    const long = { ...tray, length_mm: 600, bottom_length_mm: null };
    const scale = commonScale([tray, long], { width: 310, height: 500 });
    expect(scale).toBeCloseTo(310 / 620, 9);
    expect(
      commonScale([{ ...tray, length_mm: 90, bottom_length_mm: null }], { width: 900, height: 900 }),
    ).toBe(1.8);
  });

  it('more water is more ink, and the lowest layer comes first', () => {
    expect([toneOf(0), toneOf(-1)]).toEqual([0, 0]);
    expect(toneOf(0.5)).toBeGreaterThan(toneOf(0.4));
    expect(toneOf(2)).toBe(toneOf(0.9));
    expect(stops(tray.layers).map((stop) => stop.offset)).toEqual([0, 1]);
    const four = [0, 10, 20, 30].map((height) => layer(height, 0.5));
    expect(stops(four).map((stop) => stop.offset)).toEqual([0, 20 / 30, 1]); // every second, and the surface
    expect(stops([])).toEqual([]);
  });

  it('a profile has its band on both sides of its line', () => {
    const drawn = profile(
      tray.layers,
      (share) => share * 100,
      (height) => -height,
    );
    expect(drawn.median).toEqual([
      [80, -0],
      [60, -35],
      [40, -70],
    ]);
    expect(drawn.band[0]![0]).toBeCloseTo(75, 9);
    expect(drawn.band.at(-1)![0]).toBeCloseTo(85, 9);
  });

  it('a path goes through its points', () => {
    const same = (point: Point) => point;
    expect(pathThrough([[0, 0], [1.25, 2]], same)).toBe('M0.0 0.0L1.3 2.0Z'); // prettier-ignore
    expect(pathThrough([], same)).toBe('');
  });

  it.each([
    [1, 120, 'metric', 100],
    [0.3, 120, 'metric', 200],
    [1, 120, 'inch', 50.8],
    [1, 5, 'metric', 10],
  ] as const)('a scale bar at %f px/mm within %d px is %s %f mm', (px, most, units, length) => {
    expect(scaleBar(px, most, units).length_mm).toBeCloseTo(length, 9);
  });

  it("a slider stops at the pot's own depth, and at steps of the reader's unit", () => {
    const range = { depth_low_mm: 20, depth_high_mm: 40, depth_step_mm: 5, depth_mm: 32 };
    expect(depths(range, 'metric')).toEqual([20, 25, 30, 32, 35, 40]);
    expect(depths({ ...range, depth_mm: 30 }, 'metric')).toEqual([20, 25, 30, 35, 40]);
    expect(depths({ ...range, depth_mm: 31.75 }, 'inch')).toEqual([25.4, 31.75, 38.1]);
  });

  it('keeps room for every depth and tilt that can be tried', () => {
    const range = { depth_high_mm: 200, tilt_high_deg: 45 };
    const room = { width: 320, height: 240 };
    const most = mostHeight(tray, range, room);
    for (const depth_mm of [40, 80, 120, 200]) {
      for (const tilt_deg of [0, 10, 45]) {
        const each = { ...tray, depth_mm, fill_height_mm: depth_mm - 10, tilt_deg };
        const box = boxOf(each);
        expect((box.top - box.bottom) * commonScale([each], room)).toBeLessThanOrEqual(most + 1e-9);
      }
    }
    expect(most).toBeLessThanOrEqual(240 + 1e-9);
  });

  it('breaks words that are longer than the drawing is wide', () => {
    expect(inLines('4 ties of 127 cm, and a bar', 18)).toEqual(['4 ties of 127 cm,', 'and a bar']);
    expect(inLines('Aufbindedraht', 5)).toEqual(['Aufbindedraht']);
    const [ties] = labelsBelow([{ words: 'x '.repeat(40).trim(), at: [100, 0], isStart: true }], 200);
    expect(ties!.lines.length).toBeGreaterThan(1);
    expect(Math.max(...ties!.lines.map((line) => line.length)) * 7.2).toBeLessThanOrEqual(200);
  });

  it('a label ends before the leaders that pass it, and the next begins on a row below', () => {
    const [mesh, ties] = labelsBelow(
      [
        { words: 'mesh 52 mm', at: [150, 10], isStart: false },
        { words: '2 ties of 45 cm', at: [155, 10], isStart: true },
      ],
      360,
    );
    expect(mesh).toMatchObject({ anchor: 'end', row: 0 });
    expect(mesh!.x).toBeLessThan(155);
    expect(ties).toMatchObject({ anchor: 'start', row: 1 });
  });

  it('a label without room at its left stands right of the leaders that pass it', () => {
    const [mesh] = labelsBelow(
      [
        { words: 'mesh 52 mm', at: [20, 10], isStart: false },
        { words: 'ties', at: [40, 10], isStart: true },
      ],
      360,
    );
    expect(mesh).toMatchObject({ anchor: 'start' });
    expect(mesh!.x).toBeGreaterThan(40);
  });
});
