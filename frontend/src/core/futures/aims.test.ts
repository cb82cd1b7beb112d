import { describe, expect, it } from 'vitest';

import { begun, free, fromSet, shareOf } from './aims';

const height = { measure: 'height_mm', weight: '3', low: '30 cm', high: '45 cm' };
const tips = { measure: 'tips_dm2', weight: '1', low: '40', high: '' };
const held = { set: 'fine', wishes: [height, tips], time: { early: '1', middle: '2', late: '2' } };

describe('aims in a form', () => {
  it('begin as they are held, without what is only shown', () => {
    const shown = { ...held, wishes: [{ ...height, label: 'Height', share_shown: '75%' }] };
    expect(begun(shown)).toEqual({ set: 'fine', wishes: [height], early: '1', middle: '2', late: '2' });
  });

  it('take the measures of another set and keep the weights of years', () => {
    const draft = fromSet(begun(held), { key: 'thicken', wishes: [tips] });
    expect([draft.set, draft.wishes, draft.late]).toEqual(['thicken', [tips], '2']);
  });

  it('offer what is not aimed at yet', () => {
    expect(free(begun(held), [{ key: 'height_mm' }, { key: 'wound_mm' }])).toEqual([{ key: 'wound_mm' }]);
  });

  it('know the share of a weight, with a comma too, and say nothing where one does not read', () => {
    expect(shareOf(begun(held), 0)).toBe(0.75);
    expect(shareOf({ ...begun(held), wishes: [{ ...height, weight: '0,5' }, tips] }, 1)).toBeCloseTo(2 / 3);
    expect(shareOf({ ...begun(held), wishes: [{ ...height, weight: 'much' }, tips] }, 1)).toBeUndefined();
    expect(shareOf({ ...begun(held), wishes: [{ ...height, weight: '' }, tips] }, 1)).toBeUndefined();
  });
});
