import { expect, it } from 'vitest';

import { barOf, frameOf, potPath } from './scale';

const tree = (top_mm: number, half_mm: number) => ({ left_mm: -half_mm, right_mm: half_mm, top_mm });
const room = { width: 300, tallest: 250, above: 20, below: 30 };

it('the tallest tree takes the height that there is', () => {
  const frame = frameOf([tree(500, 100), tree(250, 90)], null, room);
  expect(frame.px_per_mm).toBe(0.5);
  expect(frame.soil).toBe(270);
  expect(frame.height).toBe(300);
});

it('a wide crown or a long pot makes all of them smaller', () => {
  expect(frameOf([tree(500, 600)], null, room).px_per_mm).toBe(0.25);
  const potted = frameOf([tree(100, 50)], { length_mm: 600, depth_mm: 80 }, room);
  expect(potted.px_per_mm).toBe(0.5);
  expect(potted.height).toBe(20 + 50 + 40 + 30);
});

it('the bar is a round length of at most a third of the column', () => {
  expect(barOf(frameOf([tree(500, 100)], null, room))).toBe(200);
});

it('a pot hangs from the soil', () => {
  expect(potPath({ length_mm: 200, depth_mm: 50 }, 0.5)).toBe('M-50 0L-44 25H44L50 0');
});
