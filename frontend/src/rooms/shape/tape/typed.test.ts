import { describe, expect, it } from 'vitest';

import { again, fieldOf, isBlank, isDrawable, keepDraft, noBranch, nothing, readDraft, sent } from './typed';

function shelf(): () => Storage {
  const kept: Record<string, string> = {};
  const storage = {
    getItem: (key: string) => kept[key] ?? null,
    setItem: (key: string, text: string) => void (kept[key] = text),
    removeItem: (key: string) => void delete kept[key],
  };
  return () => storage as unknown as Storage;
}

const some = () => ({
  ...nothing(),
  height: '44',
  girths: [
    { girth: '', at: '' },
    { girth: '13', at: '3 cm' },
  ],
  branches: [noBranch(), { ...noBranch(), height: '14', clock: '3', diameter: '12', length: '1/2 m' }],
  roots: [9, 3],
});

describe('a tape as typed', () => {
  it('is sent without blank rows and with the unit of the reader', () => {
    expect(sent(some(), 'metric')).toMatchObject({
      height: '44 cm',
      girths: [{ girth: '13 cm', at: '3 cm' }],
      branches: [{ height: '14 cm', clock: '3', diameter: '12 mm', length: '1/2 m' }],
      roots: [3, 9],
    });
    expect(sent(some(), 'inch').branches?.[0]).toMatchObject({ height: '14 in', diameter: '12 in' });
  });

  it('puts an error at the row that was meant, blank rows counted', () => {
    expect(fieldOf('girths.0.girth', some())).toBe('girths.1.girth');
    expect(fieldOf('branches.0.clock', some())).toBe('branches.1.clock');
    expect(fieldOf('height', some())).toBe('height');
  });

  it('is drawn once there is a height and a girth with its height', () => {
    expect(isDrawable(nothing())).toBe(false);
    expect(isDrawable({ ...nothing(), height: '44', girths: [{ girth: '13', at: '' }] })).toBe(false);
    expect(isDrawable(some())).toBe(true);
  });

  it('comes back after a reload, and a blank one leaves nothing', () => {
    const storage = shelf();
    keepDraft(storage, 'T01', some());
    expect(readDraft(storage, 'T01')).toEqual(some());
    expect(readDraft(storage, 'T02')).toBeUndefined();
    keepDraft(storage, 'T01', nothing());
    expect(readDraft(storage, 'T01')).toBeUndefined();
    storage().setItem('ringwise.tape.T01', '{"height":3}');
    expect(readDraft(storage, 'T01')).toBeUndefined();
  });

  it('begins from the last one in the unit of the reader', () => {
    const last = {
      day_shown: '7 Mar',
      height_mm: 440,
      girths: [{ at_mm: 30, girth_mm: 130 }],
      branches: [{ height_mm: 140, clock: 3, diameter_mm: 12, length_mm: null, tips: 24, angle_deg: null }],
      apex_tips: null,
      lean_mm: 0,
      lean_clock: 6,
      roots: [3],
    };
    expect(again(last, 'metric', 'en')).toEqual({
      height: '44',
      girths: [{ girth: '13', at: '3' }],
      branches: [{ height: '14', clock: '3', diameter: '12', length: '', tips: '24', angle: '' }],
      apex_tips: '',
      lean: '',
      lean_clock: '',
      roots: [3],
    });
    expect(again(last, 'inch', 'en').height).toBe('17.32');
    expect(isBlank(again(last, 'metric', 'en'))).toBe(false);
  });
});
