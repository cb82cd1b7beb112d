import { describe, expect, it } from 'vitest';

import { at, between, scaleOf } from './geometry';
import { isInDoubt, nearest, openShare, placedMarks, windowArcs, windowAt } from './marks';
import { drawnOf, labelled, ringsAhead, ringsOf } from './rings';
import type { DialData, DialWindow } from './types';
import { dragged, pinched, stepped, WHOLE, zoomedAt } from './view';

const told = { value: null, shown: '', why: null };
const window = (change: Partial<DialWindow> = {}): DialWindow => ({
  operation: 'repot',
  operation_words: 'Repot',
  state: 'ahead',
  wanted: true,
  opens_low: 0.35,
  opens: 0.38,
  opens_high: 0.42,
  closes_low: 0.44,
  closes: 0.46,
  closes_high: 0.5,
  sentence: '',
  chance: told,
  why: '',
  ...change,
});

/** A tree of three full years and a third of the next, 10 mm of girth a year, grown in the middle of each. */
const dial: DialData = {
  today_frac: 0.3,
  south: false,
  year: 2027,
  seed_known: true,
  scaled: true,
  growth: [
    [0, 0],
    [0.5, 0],
    [0.8, 1],
    [1, 1],
  ],
  line: [2024, 2025, 2026]
    .flatMap((year, i) => [
      [year, i * 10],
      [year + 0.5, i * 10],
      [year + 0.8, i * 10 + 10],
    ])
    .concat([[2027.3, 30]]),
  years: [2024, 2025, 2026, 2027].map((label, i) => ({
    label,
    first: `${label - 1}-11-01`,
    days: 365,
    start_girth_mm: i * 10,
    end_girth_mm: Math.min(30, i * 10 + 10),
    basis: 'measured' as const,
    told,
  })),
  marks: [
    { entry: 'a', kind: 'worked', year: 2025, frac: 0.4, spread_frac: 0, words: '', text: '' },
    { entry: 'b', kind: 'seen', year: 2027, frac: 0.25, spread_frac: 0.1, words: '', text: '' },
  ],
  windows: [window()],
  stages: [],
  ahead: [2027, 2028].map((label, i) => ({
    label,
    low_mm: 34 + i * 4,
    median_mm: 40 + i * 10,
    high_mm: 46 + i * 16,
    alive_frac: 1,
    told,
  })),
};

describe('the scale', () => {
  it('is linear in girth within the wood and reaches its edge today', () => {
    const scale = scaleOf(dial);
    expect(scale.wood(30)).toBeCloseTo(scale.zones.wood);
    expect(scale.wood(20) - scale.wood(10)).toBeCloseTo(scale.wood(30) - scale.wood(20));
  });

  it('gives the widest girth ahead the rim', () => {
    const scale = scaleOf(dial);
    expect(scale.air(62)).toBeCloseTo(scale.zones.airOut);
    expect(scale.air(30)).toBeCloseTo(scale.zones.airIn);
  });

  it('runs clockwise from the top', () => {
    expect(at(0, 10).map(Math.round)).toEqual([0, -10]);
    expect(at(0.25, 10).map(Math.round)).toEqual([10, -0]);
  });
});

describe('rings', () => {
  it('end at the girth of their year, the last at today', () => {
    const scale = scaleOf(dial);
    const radii = ringsOf(dial, scale).map((ring) => ring.radius);
    expect(radii).toHaveLength(4);
    expect(radii[0]).toBeCloseTo(scale.wood(10));
    expect(radii[2]).toBeCloseTo(scale.wood(30));
    expect(radii[3]).toBeCloseTo(scale.wood(30));
  });

  it('never cross: radius at one angle rises from year to year', () => {
    for (const frac of [0.1, 0.45, 0.65, 0.79, 0.95]) {
      const girths = [2024, 2025, 2026].map((year) => between(dial.line, year + frac));
      expect([...girths].sort((a, b) => a - b)).toEqual(girths);
    }
  });

  it('of the years ahead lie further out each year', () => {
    const radii = ringsAhead(dial, scaleOf(dial)).map((ring) => ring.radius);
    expect(radii[1]!).toBeGreaterThan(radii[0]!);
  });

  it('of the years ahead are drawn as close as they part, the last always', () => {
    const years = Array.from({ length: 14 }, (_, i) => ({ label: 2028 + i, radius: 360 + i }));
    expect(drawnOf(years, 1)).toHaveLength(14);
    expect(drawnOf(years, 4).map(({ label }) => label)).toEqual([2030, 2035, 2040, 2041]);
    expect(drawnOf([], 4)).toEqual([]);
  });

  it('are labelled with room between labels, the last always', () => {
    const rings = Array.from({ length: 60 }, (_, i) => ({ label: 1968 + i, radius: 4 * i }));
    const chosen = labelled(rings, 30);
    expect(chosen.at(-1)).toBe(2027);
    const radii = chosen.map((label) => rings.find((ring) => ring.label === label)!.radius);
    for (let i = 1; i < radii.length; i++) expect(radii[i]! - radii[i - 1]!).toBeGreaterThanOrEqual(30);
    expect(labelled([], 30)).toEqual([]);
  });
});

describe('marks', () => {
  it('of the past sit on the line of their day', () => {
    const scale = scaleOf(dial);
    const [worked, seen] = placedMarks(dial, scale);
    expect(Math.hypot(worked!.x, worked!.y)).toBeCloseTo(scale.wood(10));
    expect(Math.hypot(seen!.x, seen!.y)).toBeGreaterThan(scale.zones.barkIn);
    expect(worked!.trail).toBe('');
    expect(seen!.trail).not.toBe('');
  });

  it('of one day stand clear of each other, whatever their size', () => {
    const same = Array.from({ length: 3 }, (_, i) => ({ ...dial.marks[0]!, entry: String(i) }));
    const placed = placedMarks({ ...dial, marks: same }, scaleOf(dial), 6);
    for (const [i, j] of [
      [0, 1],
      [1, 2],
    ] as const) {
      expect(Math.hypot(placed[i]!.x - placed[j]!.x, placed[i]!.y - placed[j]!.y)).toBeGreaterThan(2 * 6);
    }
    expect(placed[0]!.angle).toBeCloseTo(0.4 * 360);
  });

  it('of today stay before the hand, those planned may lie after it', () => {
    const today = Array.from({ length: 3 }, (_, i) => ({
      ...dial.marks[1]!,
      entry: String(i),
      frac: dial.today_frac,
      spread_frac: 0,
    }));
    const planned = { ...dial.marks[1]!, entry: 'p', kind: 'planned' as const, frac: 0.5 };
    const placed = placedMarks({ ...dial, marks: [...today, planned] }, scaleOf(dial), 6);
    for (const each of placed.slice(0, 3)) expect(each.angle / 360).toBeLessThanOrEqual(dial.today_frac);
    expect(placed[3]!.angle / 360).toBeCloseTo(0.5);
  });

  it('are found within reach only', () => {
    const marks = placedMarks(dial, scaleOf(dial));
    expect(nearest(marks, marks[0]!.x + 3, marks[0]!.y, 10)?.mark.entry).toBe('a');
    expect(nearest(marks, 0, 0, 10)).toBeNull();
  });
});

describe('a window', () => {
  it('is as sure as its quantiles say', () => {
    const sure = window();
    expect(openShare(sure, 0.3)).toBe(0);
    expect(openShare(sure, 0.38)).toBeCloseTo(0.5);
    expect(openShare(sure, 0.43)).toBe(1);
    expect(openShare(sure, 0.46)).toBeCloseTo(0.5);
    expect(openShare(sure, 0.5)).toBe(0);
  });

  it('is in doubt between 1 in 20 and 19 in 20, and not while it is blocked', () => {
    const likely = (value: number | null) => window({ state: 'open', chance: { ...told, value } });
    expect([0.02, 0.05, 0.7, 0.95, 0.97, null].map((value) => isInDoubt(likely(value)))).toEqual([
      false,
      true,
      true,
      true,
      false,
      false,
    ]);
    expect(isInDoubt(window({ state: 'blocked', chance: { ...told, value: 0.5 } }))).toBe(false);
  });

  it('keeps another lane where it overlaps, and next year is a turn later', () => {
    const later = window({
      operation: 'chop',
      opens_low: 1.3,
      opens: 1.35,
      opens_high: 1.4,
      closes_low: 1.4,
      closes: 1.45,
      closes_high: 1.5,
    });
    const arcs = windowArcs(
      { ...dial, windows: [window(), window({ operation: 'wire' }), later] },
      scaleOf(dial),
    );
    expect(new Set(arcs.map((arc) => arc.lane)).size).toBe(3);
    expect(arcs.find((arc) => arc.window.operation === 'chop')).toMatchObject({
      later: true,
      from: expect.closeTo(0.3),
    });
  });
});

describe('a finger on the bark', () => {
  const scale = scaleOf(dial);
  const arcs = windowArcs(dial, scale);
  it('finds the window that it lies on or beside', () => {
    const on = at(0.43, arcs[0]!.radius);
    const beside = at(arcs[0]!.to + 0.01, arcs[0]!.radius);
    expect(windowAt(arcs, ...on, scale, 40)?.window.operation).toBe('repot');
    expect(windowAt(arcs, ...beside, scale, 40)?.window.operation).toBe('repot');
  });

  it('finds none far along the bark, in the wood or in the air', () => {
    expect(windowAt(arcs, ...at(0.9, arcs[0]!.radius), scale, 40)).toBeNull();
    expect(windowAt(arcs, ...at(0.43, scale.zones.barkIn - 30), scale, 40)).toBeNull();
    expect(windowAt(arcs, ...at(0.43, scale.zones.airOut), scale, 40)).toBeNull();
  });

  it('finds a window of next year that lies across the turn of the year', () => {
    const across = window({
      opens_low: 0.95,
      opens: 0.97,
      opens_high: 0.98,
      closes_low: 1.02,
      closes: 1.04,
      closes_high: 1.06,
    });
    const found = windowArcs({ ...dial, windows: [across] }, scale);
    expect(windowAt(found, ...at(0.02, found[0]!.radius), scale, 10)).not.toBeNull();
  });
});

describe('the view', () => {
  it('keeps the point under the finger', () => {
    const near = zoomedAt(WHOLE, 2, 100, -200);
    expect((100 - near.x) / near.size).toBeCloseTo((100 - WHOLE.x) / WHOLE.size);
    expect((-200 - near.y) / near.size).toBeCloseTo((-200 - WHOLE.y) / WHOLE.size);
  });

  it('never leaves the drawing', () => {
    const view = dragged(stepped(WHOLE, 4), 9999, -9999);
    expect(view.x).toBe(WHOLE.x);
    expect(view.y + view.size).toBe(WHOLE.y + WHOLE.size);
    expect(stepped(WHOLE, 0.5)).toEqual(WHOLE);
  });

  it('follows two fingers', () => {
    expect(pinched(WHOLE, [10, 0], [20, 0], [0, 0]).size).toBeCloseTo(WHOLE.size / 2);
  });
});
