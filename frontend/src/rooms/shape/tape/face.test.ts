import { describe, expect, it } from 'vitest';

import { atFace, hourOf, stepped } from './face';

describe('the clock face', () => {
  it('has twelve above, three to the right, six below', () => {
    expect(atFace(12, 10).y).toBeCloseTo(-10);
    expect(atFace(3, 10).x).toBeCloseTo(10);
    expect(atFace(6, 10).y).toBeCloseTo(10);
  });

  it('reads hours as people type them', () => {
    expect(['3', '3.5', '3,5', '10:30', '0', '12'].map(hourOf)).toEqual([3, 3.5, 3.5, 10.5, 12, 12]);
    expect(['', '13', 'x', '12:30', '3:7'].map(hourOf)).toEqual([null, null, null, null, null]);
  });

  it('walks by half hours round twelve, and begins at the front', () => {
    expect(stepped(12, 'ArrowRight')).toBe(0.5);
    expect(stepped(0.5, 'ArrowLeft')).toBe(12);
    expect(stepped(null, 'ArrowUp')).toBe(6);
    expect(stepped(3, 'x')).toBeNull();
  });
});
