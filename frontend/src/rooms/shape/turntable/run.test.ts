import { expect, test } from 'vitest';

import { pointsOf } from './run';

test('x and y in turn become points', () => {
  expect(pointsOf([1, 2, 3.5, 4])).toBe('1,2 3.5,4');
  expect(pointsOf([])).toBe('');
  expect(pointsOf([1, 2, 3])).toBe('1,2');
});
