import { describe, expect, it } from 'vitest';

import { cssMatrix, gapOf, sharesOf } from './matrix';

/** What a browser does with a point under a CSS matrix, by the definition of `matrix()` in CSS Transforms 1. */
function moved(css: string, [x, y]: readonly [number, number]): [number, number] {
  const [a, b, c, d, e, f] = css.match(/-?[\d.]+/g)!.map(Number) as [
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  return [a * x + c * y + e, b * x + d * y + f];
}

describe('a photo laid on another', () => {
  it('moves a point as the matrix says, at any width on screen', () => {
    // a quarter turn, twice as large, half a width to the right: (0.2, 0.1) goes to (0.5 - 0.2, 0.4)
    const matrix = [0, 2, -2, 0, 0.5, 0];
    for (const width of [300, 800]) {
      const [x, y] = moved(cssMatrix(matrix, width), [0.2 * width, 0.1 * width]);
      expect(x / width).toBeCloseTo(0.3);
      expect(y / width).toBeCloseTo(0.4);
    }
  });

  it('stays where it is without one', () => {
    expect(moved(cssMatrix([], 400), [7, 9])).toEqual([7, 9]);
  });
});

describe('a tap', () => {
  const box = { left: 100, top: 50, width: 200, height: 400 };
  it('is a share of the picture, mirrored back where it is shown mirrored', () => {
    expect(sharesOf({ clientX: 150, clientY: 150 }, box, false)).toEqual([0.25, 0.25]);
    expect(sharesOf({ clientX: 150, clientY: 150 }, box, true)).toEqual([0.75, 0.25]);
  });
  it('beside the picture is none', () => {
    expect(sharesOf({ clientX: 99, clientY: 150 }, box, false)).toBeNull();
    expect(sharesOf({ clientX: 150, clientY: 451 }, box, false)).toBeNull();
  });
});

it('years without a photo are named', () => {
  expect(gapOf('2023-05-01', '2026-04-01')).toEqual([2024, 2025]);
  expect(gapOf('2023-05-01', '2024-04-01')).toEqual([]);
  expect(gapOf(null, '2024-04-01')).toEqual([]);
});
