import { describe, expect, it } from 'vitest';

import { frameOf, FRONT, placed } from './camera';
import { fitted, inBox, isSameSide, laidOnTree, matrixOf, shownBy, type PhotoCamera } from './photo';

/** A camera a metre before the tree at 200 mm, level, looking along +y: x right, y down, z into the picture. */
const camera: PhotoCamera = {
  k: [
    [1500, 0, 799.5],
    [0, 1500, 599.5],
    [0, 0, 1],
  ],
  r: [
    [1, 0, 0],
    [0, 0, -1],
    [0, 1, 0],
  ],
  t_mm: [0, 200, 1000],
  width_px: 1600,
  height_px: 1200,
};

describe('a camera that was found', () => {
  it('shows places as its three numbers say', () => {
    expect(shownBy(camera, [0, 0, 200])).toEqual([799.5, 599.5, 1000]);
    expect(shownBy(camera, [100, 0, 200])).toEqual([949.5, 599.5, 1000]);
    expect(shownBy(camera, [0, 500, 300])).toEqual([799.5, 499.5, 1500]);
  });

  it('is the same camera as a matrix of the hardware', () => {
    const matrix = matrixOf(camera, 500, 2000);
    for (const point of [
      [0, 0, 200],
      [100, -50, 260],
      [-220, 300, 20],
    ]) {
      const out = [0, 1, 2, 3].map((row) =>
        [...point, 1].reduce((sum, value, column) => sum + matrix[4 * column + row]! * value, 0),
      );
      const [u, v, depth] = shownBy(camera, point);
      // whole pixels are middles: pixel 0 of 1600 lies half a pixel inside the left edge at -1
      expect(out[0]! / out[3]!).toBeCloseTo((2 * (u + 0.5)) / 1600 - 1, 10);
      expect(out[1]! / out[3]!).toBeCloseTo(1 - (2 * (v + 0.5)) / 1200, 10);
      expect(out[3]).toBeCloseTo(depth, 9);
      expect(Math.abs(out[2]! / out[3]!)).toBeLessThanOrEqual(1);
    }
    const near = [0, 1, 2, 3].map(
      (row) => matrix[4 * 1 + row]! * -500 + matrix[8 + row]! * 200 + matrix[12 + row]!,
    );
    expect(near[2]! / near[3]!).toBeCloseTo(-1, 9);
  });

  it('stands in the box in which its picture is drawn', () => {
    const box = fitted(camera, { width_px: 400, height_px: 400 });
    expect(box).toEqual({ left_px: 0, top_px: 50, width_px: 400, height_px: 300 });
    expect(inBox(camera, [0, 0, 200], box)).toEqual([200, 200]);
  });
});

it('a photo with two marks stands on the foot, as high as the apex, and upright', () => {
  const box = { left_mm: -100, right_mm: 150, front_mm: -80, back_mm: 120, low_mm: 0, top_mm: 400 };
  const frame = frameOf(box, FRONT, { width_px: 600, height_px: 500 });
  const places = { foot: [0, 0, 0] as const, apex: [40, 10, 400] as const };
  const marks = [
    [0.48, 1.1],
    [0.55, 0.2],
  ] as const;
  const text = laidOnTree(marks, places, FRONT, frame, 600)!;
  const [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0] = text.match(/-?[\d.]+/g)!.map(Number);
  const foot = placed(places.foot, FRONT, frame);
  const apex = placed(places.apex, FRONT, frame);
  expect(a * 600 * 0.48 + c * 600 * 1.1 + e).toBeCloseTo(foot[0], 2);
  expect(b * 600 * 0.48 + d * 600 * 1.1 + f).toBeCloseTo(foot[1], 2);
  expect(b * 600 * 0.55 + d * 600 * 0.2 + f).toBeCloseTo(apex[1], 2);
  expect([a, b, c]).toEqual([d, 0, 0]);
  const level = [
    [0.5, 0.5],
    [0.6, 0.5],
  ] as const;
  expect(laidOnTree(level, places, FRONT, frame, 600)).toBeNull();
});

it('a photo of a side is shown from that side only', () => {
  expect(isSameSide(FRONT, 6)).toBe(true);
  expect(isSameSide({ ...FRONT, zoom: 3 }, 6)).toBe(true);
  expect(isSameSide({ ...FRONT, clock: 6.1 }, 6)).toBe(false);
  expect(isSameSide({ ...FRONT, elevation_deg: 5 }, 6)).toBe(false);
});
