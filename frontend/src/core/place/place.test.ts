import { describe, expect, it } from 'vitest';

import {
  dayLengths_h,
  latitudeText,
  longitudeText,
  readLatitude,
  readTemperature_degC,
  withUnit,
} from './typed';
import { dateOf, extreme, freezingNights, yearOf, yearPaths, yearScale } from './year';

const SHAPE = { lag_days: 31, range_winter_degC: 6, range_summer_degC: 10 };

describe('a latitude', () => {
  // the same forms as the server's own test has them
  it.each([
    ['52.4', 52.4],
    ['52,4', 52.4],
    ['52.4 N', 52.4],
    ['52.4°N', 52.4],
    ['-33.9', -33.9],
    ['33 52 S', -(33 + 52 / 60)],
    ['S 33 52', -(33 + 52 / 60)],
    ['52°24′N', 52.4],
    ['52° 24\' 36" n', 52.41],
    ['0', 0],
    ['90 S', -90],
  ])('%s reads', (typed, degrees) => {
    expect(readLatitude(typed)).toBeCloseTo(degrees, 9);
  });

  it.each(['', 'north', '52.4 E', '-33.9 S', '1 2 3 4', '52..4', '90.1', '52 60 N', 'N 5 S'])(
    '%s does not',
    (typed) => {
      expect(readLatitude(typed)).toBeUndefined();
    },
  );

  it('is written as it is read', () => {
    expect(latitudeText(-33.8667, 'de')).toBe('33,867 S');
    expect(readLatitude(latitudeText(-33.8667, 'de'))).toBeCloseTo(-33.867, 9);
  });
});

it('a longitude is written as it is typed, west with its letter and no sign', () => {
  expect(longitudeText(13.4, 'de')).toBe('13,4 E');
  expect(longitudeText(-0.1278, 'en')).toBe('0.128 W');
  expect(longitudeText(0, 'en')).toBe('0 E');
});

describe('the longest and the shortest day', () => {
  it('are both a little over twelve hours at the equator and alike in both hemispheres', () => {
    const { longest, shortest } = dayLengths_h(0);
    expect(longest).toBeCloseTo(12.12, 1); // sunrise to sunset, so the sun's width and refraction add minutes
    expect(shortest).toBeCloseTo(longest, 9);
    expect(dayLengths_h(-52.4)).toEqual(dayLengths_h(52.4));
  });

  it('fit almanacs of a town near 52.5 degrees north: about 16 h 50 min and 7 h 39 min (recalled)', () => {
    const { longest, shortest } = dayLengths_h(52.5);
    expect(Math.abs(longest - 16.83)).toBeLessThan(0.05);
    expect(Math.abs(shortest - 7.65)).toBeLessThan(0.05);
  });

  it('are whole and none beyond the polar circle', () => {
    expect(dayLengths_h(80)).toEqual({ longest: 24, shortest: 0 });
  });
});

describe('a temperature', () => {
  it.each([
    ['1', 'metric', 1],
    ['−3 °C', 'metric', -3],
    ['1,5', 'metric', 1.5],
    ['32', 'inch', 0],
    ['50 F', 'metric', 10],
    ['10 C', 'inch', 10],
  ] as const)('%s in a %s yard', (typed, units, value) => {
    expect(readTemperature_degC(typed, units)).toBeCloseTo(value, 9);
  });

  it.each(['', 'cold', '1 m', '--3'])('%s is none', (typed) => {
    expect(readTemperature_degC(typed, 'metric')).toBeUndefined();
  });
});

it('a bare number gets the unit beside its field, and nothing else does', () => {
  expect(withUnit(' 40 ', 'cm')).toBe('40 cm');
  expect(withUnit('−3', 'C')).toBe('-3 C');
  expect(withUnit('1,5', 'C')).toBe('1,5 C');
  expect(withUnit('16 in', 'cm')).toBe('16 in');
  expect(withUnit('', 'cm')).toBe('');
});

describe('the year', () => {
  const north = yearOf(1, 19, SHAPE, false);
  const south = yearOf(1, 19, SHAPE, true);
  const monthMean = (year: typeof north, middle: number): number => {
    const days = year.filter((one) => Math.abs(((one.day - middle + 547) % 365) - 182) <= 15);
    return days.reduce((sum, one) => sum + one.mean_degC, 0) / days.length;
  };

  it('gives the stated means back around its coldest and warmest days', () => {
    expect(monthMean(north, extreme(north, 'coldest').day)).toBeCloseTo(1, 1);
    expect(monthMean(north, extreme(north, 'warmest').day)).toBeCloseTo(19, 1);
  });

  it('is coldest in January in the north and in July in the south', () => {
    expect(dateOf(extreme(north, 'coldest').day).getUTCMonth()).toBe(0);
    expect(dateOf(extreme(south, 'coldest').day).getUTCMonth()).toBe(6);
    expect(dateOf(extreme(south, 'warmest').day).getUTCMonth()).toBe(0);
  });

  it('has a band as wide as nights and days differ', () => {
    const cold = extreme(north, 'coldest');
    expect(cold.noon_degC - cold.night_degC).toBeCloseTo(SHAPE.range_winter_degC, 2);
    const warm = extreme(north, 'warmest');
    expect(warm.noon_degC - warm.night_degC).toBeCloseTo(SHAPE.range_summer_degC, 2);
  });

  it('tells when an ordinary night freezes', () => {
    const nights = freezingNights(north);
    if (typeof nights === 'string') throw new Error(nights);
    expect(north[nights.from]!.night_degC).toBeLessThan(0);
    expect(north[nights.from - 1]!.night_degC).toBeGreaterThanOrEqual(0);
    expect(nights.from).toBeGreaterThan(nights.to); // over the new year
    const turned = freezingNights(south);
    if (typeof turned === 'string') throw new Error(turned);
    expect(turned.from).toBeLessThan(turned.to);
    expect(freezingNights(yearOf(10, 20, SHAPE, false))).toBe('never');
    expect(freezingNights(yearOf(-30, -20, SHAPE, false))).toBe('always');
  });

  it('is drawn upright, with the frost line within it', () => {
    const box = { left: 30, right: 330, top: 10, bottom: 110 };
    for (const year of [
      north,
      yearOf(15, 25, SHAPE, false),
      yearOf(-30, -12, SHAPE, false),
      yearOf(3, 3, SHAPE, false),
    ]) {
      const scale = yearScale(year, box);
      expect(scale.y(0)).toBeGreaterThanOrEqual(box.top);
      expect(scale.y(0)).toBeLessThanOrEqual(box.bottom);
      expect(scale.y(10)).toBeLessThan(scale.y(0));
      for (const one of year) {
        expect(scale.y(one.noon_degC)).toBeGreaterThanOrEqual(box.top);
        expect(scale.y(one.night_degC)).toBeLessThanOrEqual(box.bottom);
      }
      expect(yearPaths(year, scale).mean).not.toContain('NaN');
    }
  });
});
