import { expect, it } from 'vitest';

import { barOf, frameOf, groundPath, ownFrame, potPath } from './scale';

const tree = (top_mm: number, half_mm: number) => ({ left_mm: -half_mm, right_mm: half_mm, top_mm });
const room = { width: 300, tallest: 250, above: 20, below: 30 };

it('the tallest tree takes the height that there is', () => {
  const frame = frameOf([tree(500, 100), tree(250, 90)], [], room);
  expect(frame.px_per_mm).toBe(0.5);
  expect(frame.soil).toBe(270);
  expect(frame.height).toBe(300);
});

it('a wide crown or a long pot makes all of them smaller', () => {
  expect(frameOf([tree(500, 600)], [], room).px_per_mm).toBe(0.25);
  const potted = frameOf([tree(100, 50)], [{ length_mm: 600, depth_mm: 80 }], room);
  expect(potted.px_per_mm).toBe(0.5);
  expect(potted.height).toBe(20 + 50 + 40 + 30);
});

it('the pot into which a course moves the tree fits as well', () => {
  const pots = [
    { length_mm: 200, depth_mm: 90 },
    { length_mm: 600, depth_mm: 60 },
  ];
  const frame = frameOf([tree(100, 50)], pots, room);
  expect(frame.px_per_mm).toBe(0.5);
  expect(frame.height).toBe(20 + 50 + 45 + 30);
});

it('a tree by itself keeps the scale and takes its own room', () => {
  const frame = frameOf([tree(500, 100)], [{ length_mm: 300, depth_mm: 80 }], room);
  const own = ownFrame(frame, tree(120, 40), { above: 10, below: 12 });
  expect(own.px_per_mm).toBe(frame.px_per_mm);
  expect(own.width).toBe(frame.width);
  expect(own.soil).toBe(10 + 60);
  expect(own.height).toBe(10 + 60 + 12);
  const potted = ownFrame(frame, tree(120, 40), { above: 10, below: 12 }, { length_mm: 90, depth_mm: 80 });
  expect(potted.height).toBe(10 + 60 + 40 + 12);
});

it('the bar is a round length of at most a third of the column', () => {
  expect(barOf(frameOf([tree(500, 100)], [], room))).toBe(200);
});

it('a pot hangs from the soil, its lip as wide as it is long and its feet below its depth', () => {
  const path = potPath({ length_mm: 200, depth_mm: 50, shape: 'rectangle' }, 0.5);
  expect(path.startsWith('M-50 0H50V5H-50Z')).toBe(true);
  expect(path).toContain(' 25H'); // its floor
  expect(path.match(/ 29H/g)).toHaveLength(2); // its feet
});

it('a round pot draws in more than one with straight walls', () => {
  const footOf = (shape: string) =>
    Number(/ 25H([\d.]+)Q/.exec(potPath({ length_mm: 200, depth_mm: 50, shape }, 0.5))?.[1]);
  expect(footOf('oval')).toBeLessThan(footOf('rectangle'));
});

it('open ground is hatched from side to side below the soil', () => {
  const strokes = groundPath(100, 50, 2).split('M').filter(Boolean);
  expect(strokes.length).toBe(8);
  expect(strokes.every((stroke) => stroke.endsWith('59l7-8'))).toBe(true);
});
