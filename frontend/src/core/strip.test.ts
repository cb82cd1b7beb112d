import { describe, expect, it } from 'vitest';

import { hazardMarks, stripScale, type StripDay } from './strip';

const ROOM = { rainRoom: 40, top: 50, bottom: 200 };

const day = (tmin: number | null, tmax: number | null, rain: number | null = 0): StripDay => ({
  day: '2027-03-07',
  tmin_degC: { value: tmin },
  tmax_degC: { value: tmax },
  rain_mm: { value: rain },
  tmin_low_degC: null,
  tmax_high_degC: null,
});

describe('stripScale', () => {
  it('spans from the coldest to the warmest, to scale', () => {
    const { days, frost } = stripScale([day(-10, 0), day(5, 20)], ROOM);
    expect(days[0]).toMatchObject({ lowest: 200, highest: 150 }); // 30 degC over 150 px: 5 px a degree
    expect(days[1]).toMatchObject({ lowest: 125, highest: 50 });
    expect(frost).toBe(150);
  });

  it('keeps the frost line in sight and does not blow up a mild week', () => {
    const { days, frost } = stripScale([day(4, 6)], ROOM);
    expect(frost).toBe(200); // 0 degC is the lowest, 15 degC the highest of the scale: 10 px a degree
    expect(days[0]).toMatchObject({ lowest: 160, highest: 140 });
  });

  it('hangs rain by the wettest day, and a drizzle stays small', () => {
    expect(stripScale([day(0, 1, 20), day(0, 1, 5)], ROOM).days.map((one) => one.rain)).toEqual([40, 10]);
    expect(stripScale([day(0, 1, 1)], ROOM).days[0]?.rain).toBe(4);
  });

  it('says nothing where nothing is known', () => {
    expect(stripScale([day(null, null, null)], ROOM).days[0]).toEqual({
      highest: null,
      lowest: null,
      spread: null,
      rain: 0,
    });
    expect(stripScale([], ROOM).days).toEqual([]);
  });

  it('draws the spread of past years within the scale', () => {
    const ahead = { ...day(0, 10, null), tmin_low_degC: -5, tmax_high_degC: 25 };
    const { days } = stripScale([ahead], ROOM);
    expect(days[0]?.spread).toEqual([50, 200]);
  });
});

describe('hazardMarks', () => {
  const calm = { bench_frost_prob: 0, core_frost_prob: 0, bench_heat_prob: 0, core_heat_prob: null };

  it('marks what happens in at least one year of five', () => {
    expect(hazardMarks({ ...calm, bench_frost_prob: 0.19 })).toEqual([]);
    expect(hazardMarks({ ...calm, bench_frost_prob: 0.2 })).toEqual([{ hazard: 'bench_frost', prob: 0.2 }]);
  });

  it('tells of the pot alone where cold or heat gets that far', () => {
    const both = { ...calm, bench_frost_prob: 1, core_frost_prob: 0.5, bench_heat_prob: 0.4 };
    expect(hazardMarks(both).map((mark) => mark.hazard)).toEqual(['core_frost', 'bench_heat']);
  });

  it('marks nothing where nothing is known', () => {
    expect(
      hazardMarks({
        bench_frost_prob: null,
        core_frost_prob: null,
        bench_heat_prob: null,
        core_heat_prob: null,
      }),
    ).toEqual([]);
  });
});
