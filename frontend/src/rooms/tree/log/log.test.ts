import { describe, expect, it } from 'vitest';

import { blank, graftPair, graftParts, ready, woundPlace, woundPlaceParts } from '../../../parts/given';
import { isBare, sizesWithUnit, withUnit } from '../../../core/units';

describe('a bare number', () => {
  it.each(['9', '9.2', '9,2', '.5', '3/8', '3 5/8', '3-5/8', '3 ½', '½', ' 12 '])('is %j', (text) => {
    expect(isBare(text)).toBe(true);
  });

  it.each(['', '9 cm', '9cm', '3 5/8 in', "3'", 'about 9', '9 to 10', '1.2.3'])('is not %j', (text) => {
    expect(isBare(text)).toBe(false);
  });

  it.each([
    ['9.2', 'girth', 'metric', '9.2 cm'],
    ['9,2', 'girth', 'metric', '9,2 cm'],
    ['3 5/8', 'girth', 'inch', '3 5/8 in'],
    ['92', 'trunk', 'metric', '92 mm'],
    ['3', 'weight', 'inch', '3 lb'],
    ['3 1/2 in', 'girth', 'metric', '3 1/2 in'],
    ['9 mm', 'girth', 'metric', '9 mm'],
  ] as const)('%s of %s for a %s reader is sent as %s', (text, amount, units, sent) => {
    expect(withUnit(text, amount, units)).toBe(sent);
  });

  it.each([
    ['24', 'metric', '24 cm'],
    ['42 x 31', 'metric', '42 x 31 cm'],
    ['9×7.5', 'inch', '9×7.5 in'],
    ['420 x 310 mm', 'metric', '420 x 310 mm'],
    ['wide', 'metric', 'wide'],
    [' ', 'metric', ''],
  ] as const)('sizes %s for a %s reader are sent as %s', (text, units, sent) => {
    expect(sizesWithUnit(text, 'at', units)).toBe(sent);
  });
});

describe('an entry that is ready', () => {
  it('has its units, its day and no spaces around words', () => {
    const given = blank('girth', { value: ' 9.2 ', at: '3', note: ' low ' });
    expect(ready(given, 'metric', '2027-03-07')).toMatchObject({
      value: '9.2 cm',
      at: '3 cm',
      note: 'low',
      date: '2027-03-07',
    });
  });

  it('keeps a typed day and the place of a graft or a work as words', () => {
    expect(ready(blank('work', { at: '3', date: 'spring 2021' }), 'metric', '2027-03-07')).toMatchObject({
      at: '3',
      date: 'spring 2021',
    });
  });

  it.each([
    ['25', '25%'],
    ['0.25', '0.25'],
    ['a third', 'a third'],
    ['25%', '25%'],
  ])('reads %s of the roots as %s', (typed, sent) => {
    expect(ready(blank('work', { root_removed: typed }), 'metric', '2027-03-07').root_removed).toBe(sent);
  });

  it('counts bare minutes as minutes', () => {
    expect(ready(blank('work', { minutes: '90' }), 'metric', '2027-03-07').minutes).toBe('90 min');
    expect(ready(blank('work', { minutes: '1.5 h' }), 'metric', '2027-03-07').minutes).toBe('1.5 h');
  });

  it('does not touch a code', () => {
    expect(ready(blank('stage', { value: '07' }), 'metric', '2027-03-07').value).toBe('07');
  });
});

it('the two thicknesses of a graft go there and back', () => {
  expect(graftPair('6.3', '5.9 mm', 'metric')).toBe('6.3 mm/5.9 mm');
  expect(graftParts('6.3 mm/5.9 mm')).toEqual(['6.3 mm', '5.9 mm']);
});

describe('the place of a wound', () => {
  it.each([
    ['14', '3', 'metric', '14 cm, 3'],
    ['14,5', ' 3:30 ', 'metric', '14,5 cm, 3:30'],
    ['5 1/2', '', 'inch', '5 1/2 in'],
  ] as const)('%s high towards %j for a %s reader is sent as %s', (height, clock, units, sent) => {
    expect(woundPlace(height, clock, units)).toBe(sent);
    expect(woundPlaceParts(sent)).toEqual([sent.split(', ')[0], clock.trim()]);
  });

  it('is sent beside its width', () => {
    const given = blank('wound', { value: '9', at: '14 cm, 3' });
    expect(ready(given, 'metric', '2027-03-07')).toMatchObject({ value: '9 mm', at: '14 cm, 3' });
  });
});
