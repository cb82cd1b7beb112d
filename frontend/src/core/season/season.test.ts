import { describe, expect, it } from 'vitest';

import { bandOf, depthOf, growthLine, middleOf } from './band';
import { nameSide, placedAbove } from './labels';
import { likelyRisks, RISK_SHAPES, riskMarks } from './risks';
import { busyDays, yearScale } from './scale';
import type { SeasonData, SeasonWork } from './types';

const NORTH = '2026-11-01';
const SOUTH = '2027-05-01';
const all = yearScale(NORTH, 365, 730); // 2 px a day

const work = (change: Partial<SeasonWork> = {}): SeasonWork => ({
  opens: null,
  closes: null,
  chance_by_day: null,
  planned: [],
  risks: [],
  ...change,
});

const season = (change: Partial<SeasonData> = {}): SeasonData => ({
  first: NORTH,
  days: 365,
  today: '2027-03-07',
  growth: [
    [0, 0],
    [0.5, 0],
    [0.75, 1],
    [1, 1],
  ],
  stages: [],
  works: [],
  ...change,
});

describe('yearScale', () => {
  it('is a plain ruler where there is room', () => {
    expect(all.isFolded).toBe(false);
    expect(all.at('2026-11-01')).toBe(0);
    expect(all.at('2026-11-11')).toBeCloseTo(20);
    expect(all.at('2027-03-07')).toBeCloseTo(2 * (30 + 31 + 31 + 28 + 6));
    expect(all.months.map((month) => month.first)).toContain('2027-02-01');
    expect(all.months.at(-1)?.to).toBeCloseTo(730);
  });

  it('begins in May in the south and has twelve months in a leap year too', () => {
    const south = yearScale(SOUTH, 366, 732);
    expect(south.months).toHaveLength(12);
    expect(south.months[0]?.first).toBe('2027-05-01');
    expect(south.at('2028-03-01') - south.at('2028-02-28')).toBeCloseTo(4); // the 29th lies between
  });

  it('holds days outside of the year at its ends', () => {
    expect([all.at('2026-01-01'), all.at('2028-01-01')]).toEqual([0, 730]);
    expect([all.holds('2026-10-31'), all.holds(NORTH), all.holds('2027-11-01')]).toEqual([
      false,
      true,
      false,
    ]);
  });

  it('folds quiet months on a narrow line and gives their room to the others', () => {
    const narrow = yearScale(NORTH, 365, 358, ['2027-03-07', '2027-04-19']);
    expect(narrow.isFolded).toBe(true);
    expect(narrow.months.filter((month) => !month.folded).map((month) => month.first)).toEqual([
      '2027-03-01',
      '2027-04-01',
    ]);
    const [march, april] = [narrow.months[4]!, narrow.months[5]!];
    expect(april.from).toBe(march.to);
    expect(march.to - march.from).toBeCloseTo(((358 - 10 * 16) * 31) / 61);
    expect(narrow.months.at(-1)?.to).toBeCloseTo(358);
  });

  it('never runs backwards', () => {
    const narrow = yearScale(NORTH, 365, 320, ['2027-03-07']);
    const days = Array.from({ length: 365 }, (_, i) =>
      narrow.at(new Date(Date.parse(NORTH) + i * 864e5).toISOString().slice(0, 10)),
    );
    days.slice(1).forEach((x, i) => expect(x).toBeGreaterThan(days[i]!));
  });

  it('folds nothing where every month is busy, or none', () => {
    const every = all.months.map((month) => month.first);
    expect(yearScale(NORTH, 365, 358, every).isFolded).toBe(false);
    expect(yearScale(NORTH, 365, 358, []).isFolded).toBe(false);
  });

  it('is kept open by today, by stages, by where windows begin and end, and by plans', () => {
    const days = { low: '2027-03-24', median: '2027-04-02', high: '2027-04-12' };
    const busy = busyDays(
      season({
        stages: [
          { code: '03', short: '', seen: '2027-03-01', expected: days },
          { code: '07', short: '', seen: null, expected: { ...days, median: '2027-05-05' } },
        ],
        works: [
          work({ opens: days, planned: [{ earliest: '2027-06-01', latest: '2027-06-30' }] }),
          work({ planned: [{ earliest: null, latest: null }] }),
        ],
      }),
    );
    expect(busy).toEqual(['2027-03-07', '2027-03-01', '2027-05-05', '2027-04-02', '2027-06-01']);
  });
});

describe('placedAbove', () => {
  const label = (x: number, wide = 80, wideFull = wide) => ({ thing: x, x, wide, wideFull });

  it('makes a stair of what lies close, the last next to the line', () => {
    const rows = placedAbove([label(100), label(110), label(120)], 600, 8).map((each) => each.row);
    expect(rows).toEqual([2, 1, 0]);
  });

  it('lays nothing on a label and no leader through one', () => {
    const xs = [20, 26, 33, 90, 140, 240, 330, 352];
    const placed = placedAbove(
      xs.map((x) => label(x, 90, 150)),
      358,
      8,
    );
    expect(placed.length).toBeGreaterThan(5);
    for (const a of placed) {
      expect(a.from).toBeGreaterThanOrEqual(0);
      expect(a.to).toBeLessThanOrEqual(358);
      for (const b of placed) {
        if (a === b) continue;
        if (a.row === b.row) expect(a.to <= b.from || b.to <= a.from).toBe(true);
        if (a.row > b.row) expect(a.x < b.from || a.x > b.to).toBe(true);
      }
    }
  });

  it('stands before its leader at the right end', () => {
    expect(placedAbove([label(580)], 600, 8)[0]).toMatchObject({ anchor: 'end', from: 500, to: 580 });
  });

  it('tells the days where there is room for them', () => {
    const [first, second] = placedAbove([label(0, 80, 160), label(100, 80, 160)], 600, 8);
    expect([first?.full, second?.full]).toEqual([false, true]);
  });

  it('leaves out what has no place', () => {
    expect(placedAbove([label(10, 900)], 600, 8)).toEqual([]);
    expect(placedAbove([label(100), label(110), label(120)], 600, 1)).toHaveLength(2);
  });
});

describe('nameSide', () => {
  it.each([
    [200, 300, 'before'],
    [40, 300, 'after'],
    [40, 560, 'above'],
  ])('from %d to %d: %s', (from, to, side) => expect(nameSide(from, to, 100, 600)).toBe(side));
});

describe('bandOf', () => {
  it('draws a stroke a day whose tone is the chance in tenths', () => {
    const wide = yearScale(NORTH, 365, 1460); // 4 px a day
    const band = bandOf(
      work({ chance_by_day: { first: '2026-11-11', open_prob: [0.52, 0.97, 0.97] } }),
      wide,
      10,
      30,
    );
    expect(band?.tones).toEqual([
      { tenth: 5, path: 'M40.0 10V30' },
      { tenth: 10, path: 'M44.0 10V30M48.0 10V30' },
    ]);
    expect([band?.from, band?.to]).toEqual([40, 52]);
  });

  it('draws fewer strokes where days lie close', () => {
    const strokes = bandOf(
      work({ chance_by_day: { first: NORTH, open_prob: Array(30).fill(1) } }),
      all,
      0,
      9,
    )!.tones[0]!.path.split('M');
    expect(strokes.length - 1).toBe(15); // 2 px a day, none closer than 2.5 px
  });

  it('is deeper where it is likelier', () => {
    expect(depthOf(10)).toBeCloseTo(1);
    expect(depthOf(1)).toBeGreaterThan(0.2);
    expect(depthOf(3)).toBeLessThan(depthOf(4));
  });

  it('is not drawn under 1 in 20, outside of the year, or without days', () => {
    expect(bandOf(work({ chance_by_day: { first: '2027-03-01', open_prob: [0.04] } }), all, 0, 9)).toBeNull();
    expect(bandOf(work({ chance_by_day: { first: '2028-03-01', open_prob: [1] } }), all, 0, 9)).toBeNull();
    expect(bandOf(work(), all, 0, 9)).toBeNull();
  });
});

describe('risks', () => {
  const risk = (kind: string, prob = 0.5) => ({ kind, prob, first: '2026-11-11', last: '2026-11-24' });

  it('are told where they are likely enough, the first of a shape', () => {
    const risks = [
      risk('core_frost', 0.9),
      risk('core_alarm'),
      risk('bench_frost', 0.04),
      risk('heat', 0.05),
    ];
    expect(likelyRisks(risks).map((each) => each.kind)).toEqual(['core_frost', 'heat']);
  });

  it('are marked side by side over their days, one mark a shape', () => {
    const drawn = riskMarks([risk('core_frost'), { ...risk('wind'), last: '2026-11-15' }], all);
    expect([drawn?.from, drawn?.to]).toEqual([20, 48]);
    expect(drawn?.marks.map((mark) => mark.x)).toEqual([27.5, 42.5]);
    expect(drawn?.marks[1]?.shape).toBe(RISK_SHAPES['wind']);
  });

  it('are drawn only in their own year and within the line', () => {
    expect(riskMarks([{ ...risk('heat'), first: '2028-01-01' }], all)).toBeNull();
    expect(riskMarks([], all)).toBeNull();
    const late = { ...risk('heat'), first: '2027-10-31', last: '2027-11-13' };
    expect(riskMarks([late, { ...late, kind: 'wind' }], all)?.marks.map((mark) => mark.x)).toEqual([
      707.5, 722.5,
    ]);
  });

  it('have a shape each, and those of the pot stand in a pot', () => {
    expect(Object.keys(RISK_SHAPES)).toHaveLength(11);
    const inPot = Object.entries(RISK_SHAPES).filter(([, shape]) => shape.startsWith('M-5.5 -4L'));
    expect(inPot.every(([kind]) => kind.startsWith('core_'))).toBe(true);
    expect(inPot).toHaveLength(6);
  });
});

describe('growthLine', () => {
  it('rests while the tree rests, rises while it grows, and stays', () => {
    const line = growthLine(season(), all, 100, 40);
    expect(line.heightAt('2026-12-24')).toBe(100);
    expect(line.heightAt('2027-10-31')).toBe(60);
    expect(line.heightAt('2027-06-17')).toBeCloseTo(100 - 40 * ((228 / 365 - 0.5) / 0.25)); // day 228
  });

  it('lies flat where nothing is known of growth', () => {
    expect(growthLine(season({ growth: [] }), all, 100, 40).heightAt('2027-10-31')).toBe(100);
  });

  it('draws from day to day, its last day too', () => {
    expect(growthLine(season(), all, 100, 40).path('2026-11-01', '2026-11-05')).toBe(
      'M0.0 100.0L6.0 100.0L8.0 100.0',
    );
  });
});

it('a day that is not exact lies in its middle', () => {
  expect(middleOf({ earliest: '2027-06-01', latest: '2027-06-30' })).toBe('2027-06-15');
  expect(middleOf({ earliest: null, latest: '2027-06-30' })).toBe('2027-06-30');
  expect(middleOf({ earliest: '2027-06-01', latest: null })).toBe('2027-06-01');
  expect(middleOf({ earliest: null, latest: null })).toBeNull();
});
