import { describe, expect, it } from 'vitest';

import { ruleLength, tapeLength } from '../lengths';
import { detailNow, pixelRatio } from './detail';
import { marksTo, stepOf } from './rule';

describe('how much is drawn', () => {
  const both = { light: true, full: true };
  it('is light while it moves, else full', () => {
    expect(detailNow(true, both)).toBe('light');
    expect(detailNow(false, both)).toBe('full');
  });

  it('is what has come', () => {
    expect(detailNow(false, { light: true, full: false })).toBe('light');
    expect(detailNow(true, { light: false, full: true })).toBe('full');
    expect(detailNow(true, { light: false, full: false })).toBeNull();
  });

  it('has no more pixels than the eye needs', () => {
    expect([0.5, 1, 1.25, 2, 3, NaN].map(pixelRatio)).toEqual([1, 1, 1.25, 1.5, 1.5, 1]);
  });
});

describe('a rule', () => {
  it('takes the shortest step of a tape that has room', () => {
    expect(stepOf(1, 34, 'metric')).toBe(50);
    expect(stepOf(0.1, 34, 'metric')).toBe(5);
    expect(stepOf(1, 34, 'inch')).toBe(50.8);
    expect(stepOf(1e6, 34, 'metric')).toBe(5000);
  });

  it('is marked from the soil up', () => {
    expect(marksTo(260, 100)).toEqual([0, 100, 200]);
    expect(marksTo(300, 100)).toEqual([0, 100, 200, 300]);
  });
});

it('lengths are shown as the server shows them', () => {
  // as in the examples of kit.lengths and kit.show
  expect([41, 520, 3400, 0].map((mm) => tapeLength(mm, 'metric', 'en'))).toEqual([
    '41\u202fmm',
    '52\u202fcm',
    '3.4\u202fm',
    '0\u202fmm',
  ]);
  expect(tapeLength(317, 'metric', 'de')).toBe('31,7\u202fcm');
  expect([25.4, 41, 200, 1000].map((mm) => tapeLength(mm, 'inch', 'en'))).toEqual([
    '1\u202fin',
    '1 5/8\u202fin',
    '7 3/4\u202fin',
    '39\u202fin',
  ]);
  expect(ruleLength(50, 520, 'metric', 'en')).toBe('5\u202fcm');
  expect(ruleLength(50, 300, 'metric', 'en')).toBe('50\u202fmm');
});
