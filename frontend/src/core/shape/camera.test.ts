import { describe, expect, it } from 'vitest';

import {
  axesOf,
  frameOf,
  FRONT,
  moved,
  nearer,
  onTheWay,
  placed,
  sideOf,
  SIDES,
  turned,
  type Box,
  type View,
} from './camera';

const box: Box = { left_mm: -100, right_mm: 150, front_mm: -80, back_mm: 120, low_mm: 0, top_mm: 400 };
const size = { width_px: 600, height_px: 500 };
const view = (more: Partial<View>): View => ({ ...FRONT, ...more });

describe('the axes of a view', () => {
  // x right, y to the back, z up; six o'clock is the front, three o'clock the right
  it.each([
    [6, 0, [1, 0, 0], [0, 0, 1], [0, -1, 0]],
    [3, 0, [0, 1, 0], [0, 0, 1], [1, 0, 0]],
    [12, 0, [-1, 0, 0], [0, 0, 1], [0, 1, 0]],
    [9, 0, [0, -1, 0], [0, 0, 1], [-1, 0, 0]],
    [6, 90, [1, 0, 0], [0, 1, 0], [0, 0, 1]],
  ])('from %d o’clock, %d degrees up', (clock, elevation_deg, right, up, eye) => {
    const axes = axesOf({ clock, elevation_deg });
    for (const [name, wanted] of Object.entries({ right, up, eye })) {
      axes[name as 'right'].forEach((value, i) => expect(value).toBeCloseTo(wanted[i]!, 12));
    }
  });

  it('stand across one another from anywhere, as a hand has it', () => {
    for (const [clock, elevation_deg] of [
      [1.3, 20],
      [7.7, -15],
      [11, 61],
    ] as const) {
      const { right, up, eye } = axesOf({ clock, elevation_deg });
      const cross = [
        right[1] * up[2] - right[2] * up[1],
        right[2] * up[0] - right[0] * up[2],
        right[0] * up[1] - right[1] * up[0],
      ];
      cross.forEach((value, i) => expect(value).toBeCloseTo(eye[i]!, 12));
    }
  });
});

describe('the frame', () => {
  it('holds the tree from every side at one scale', () => {
    const scales = SIDES.map((side) => frameOf(box, view(side), size).mm_per_px);
    expect(new Set(scales).size).toBe(1);
    for (let clock = 0.5; clock <= 12; clock += 0.5) {
      const from = view({ clock });
      const frame = frameOf(box, from, size);
      for (const x of [box.left_mm, box.right_mm])
        for (const y of [box.front_mm, box.back_mm])
          for (const z of [box.low_mm, box.top_mm]) {
            const [across, down] = placed([x, y, z], from, frame);
            expect(across).toBeGreaterThanOrEqual(0);
            expect(across).toBeLessThanOrEqual(600);
            expect(down).toBeGreaterThanOrEqual(0);
            expect(down).toBeLessThanOrEqual(500);
          }
    }
  });

  it('draws true to scale, right to the right and high up', () => {
    const frame = frameOf(box, FRONT, size);
    const foot = placed([0, 0, 0], FRONT, frame);
    const side = placed([50, 77, 0], FRONT, frame);
    const top = placed([0, 0, 400], FRONT, frame);
    expect((side[0] - foot[0]) * frame.mm_per_px).toBeCloseTo(50, 9);
    expect(side[1]).toBeCloseTo(foot[1], 9);
    expect((foot[1] - top[1]) * frame.mm_per_px).toBeCloseTo(400, 9);
  });
});

it('drawn nearer, what lies under the place stays there', () => {
  const frame = frameOf(box, FRONT, size);
  const place = [420, 130] as const;
  // the point in the plane through the middle of the tree that is drawn at the place
  const x = (place[0] - 300) * frame.mm_per_px;
  const z = 200 - (place[1] - 250) * frame.mm_per_px;
  const next = nearer(FRONT, 2.5, frame, place);
  const after = placed([x, 0, z], next, frameOf(box, next, size));
  expect(after[0]).toBeCloseTo(420, 6);
  expect(after[1]).toBeCloseTo(130, 6);
  expect(nearer(FRONT, 1e6, frame, place).zoom).toBeLessThanOrEqual(12);
  expect(nearer(FRONT, 1e-6, frame, place).zoom).toBeGreaterThanOrEqual(0.5);
});

it('moved along with a drag', () => {
  const frame = frameOf(box, FRONT, size);
  const before = placed([10, 0, 100], FRONT, frame);
  const next = moved(FRONT, 30, -12, frame);
  const after = placed([10, 0, 100], next, frameOf(box, next, size));
  expect(after[0] - before[0]).toBeCloseTo(30, 9);
  expect(after[1] - before[1]).toBeCloseTo(-12, 9);
});

it('turned by the near side: dragged to the right, it goes to the right', () => {
  const next = turned(FRONT, 20, 0);
  const frame = frameOf(box, FRONT, size);
  const near = [0, -80, 100]; // before the trunk
  expect(placed(near, next, frame)[0]).toBeGreaterThan(placed(near, FRONT, frame)[0]);
  expect(turned(FRONT, 0, 40).elevation_deg).toBe(20);
  expect(turned(FRONT, 0, 4000).elevation_deg).toBe(90);
  expect(turned(FRONT, 360, 0).clock).toBe(12);
  expect(turned(view({ clock: 1 }), -120, 0).clock).toBe(11);
});

it('walks the shorter way round and arrives', () => {
  const from = view({ clock: 11, elevation_deg: 30, zoom: 2 });
  const to = view({ clock: 1, elevation_deg: 0 });
  expect(onTheWay(from, to, 0.5).clock).toBeCloseTo(0, 9);
  expect(onTheWay(from, to, 0.5).zoom).toBe(1.5);
  expect(onTheWay(from, to, 1)).toEqual(to);
});

it('knows the plain sides', () => {
  expect(sideOf(FRONT)).toBe('front');
  expect(sideOf(view({ clock: 12 }))).toBe('back');
  expect(sideOf(view({ elevation_deg: 90 }))).toBe('above');
  expect(sideOf(view({ clock: 5.5 }))).toBeNull();
});
