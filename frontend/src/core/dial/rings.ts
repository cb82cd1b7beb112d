/** Wood and air: the one line from the seed to today and beyond, and the tone between its turns. */

import { at, between, pathOfPoints, steps, type Scale } from './geometry';
import type { DialData, RingBasis } from './types';

/** One year's ring: three tones from early to late wood, and the dark edge that ends it. */
export interface Ring {
  label: number;
  basis: RingBasis;
  tones: string[]; // inner to outer
  edge: string;
  radius: number; // at its end, for its label
  wide: number; // from the ring before, at its end
}

const SHARES = [0.45, 0.8, 1]; // where early wood ends, where late wood begins, the ring's edge: a drawing's choice

/** The wood that is known: one ring a growing year, the last one as far as today. */
export function ringsOf(dial: DialData, scale: Scale): Ring[] {
  const line = dial.line;
  if (line.length < 2) return [];
  const begin = line[0]![0]!;
  const now = line[line.length - 1]![0]!;
  const radius = (time: number) => scale.wood(time < begin ? line[0]![1]! : between(line, time));
  const inner = (time: number) => (time - 1 < begin ? scale.wood(line[0]![1]!) : radius(time - 1));
  return dial.years.map((year) => {
    const times = steps(Math.max(begin, year.label), Math.min(now, year.label + 1));
    const turn = (share: number) =>
      times.map((time) => {
        const low = inner(time);
        return at(time - year.label, low + share * (radius(time) - low));
      });
    const tones = SHARES.map((share, i) =>
      pathOfPoints([...turn(share), ...turn(i ? SHARES[i - 1]! : 0).reverse()], true),
    );
    return {
      label: year.label,
      basis: year.basis,
      tones,
      edge: pathOfPoints(turn(1)),
      radius: radius(times[times.length - 1]!),
      wide: radius(times[times.length - 1]!) - inner(times[times.length - 1]!),
    };
  });
}

/** A year ahead: where its dashed line runs, and the band from one in ten to nine in ten. */
export interface RingAhead {
  label: number;
  line: string;
  band: string;
  radius: number;
}

/** The years ahead go on where today ends; each lies between the girth at its start and at its end. */
export function ringsAhead(dial: DialData, scale: Scale): RingAhead[] {
  const now = dial.year + dial.today_frac;
  let before = { low: scale.girthNow, median: scale.girthNow, high: scale.girthNow };
  return dial.ahead.map((year) => {
    const start = before;
    const end = { low: year.low_mm, median: year.median_mm, high: year.high_mm };
    before = end;
    const from = year.label === dial.year ? dial.today_frac : 0;
    const grownBefore = between(dial.growth, from);
    const girth = (which: 'low' | 'median' | 'high', frac: number) => {
      const left = 1 - grownBefore;
      const share = left > 1e-6 ? (between(dial.growth, frac) - grownBefore) / left : 1;
      return start[which] + share * (end[which] - start[which]);
    };
    const times = steps(from, 1).filter((frac) => year.label + frac >= now - 1e-9);
    const turn = (which: 'low' | 'median' | 'high') =>
      times.map((frac) => at(frac, scale.air(girth(which, frac))));
    return {
      label: year.label,
      line: pathOfPoints(turn('median')),
      band: pathOfPoints([...turn('high'), ...turn('low').reverse()], true),
      radius: scale.air(year.median_mm),
    };
  });
}

/** The years ahead that are drawn: all where they part, else every fifth or tenth, always the last. */
export function drawnOf<Year extends { label: number; radius: number }>(
  years: readonly Year[],
  room: number,
): Year[] {
  const last = years[years.length - 1];
  if (!last) return [];
  const spread = Math.abs(last.radius - years[0]!.radius);
  const step = [1, 2, 5, 10].find((each) => spread / Math.max((years.length - 1) / each, 1) >= room) ?? 10;
  return years.filter((year) => year === last || year.label % step === 0);
}

/** Years that get a label: as many as there is room for, round ones first, always the last. */
export function labelled(rings: readonly { label: number; radius: number }[], room: number): number[] {
  if (!rings.length) return [];
  const last = rings[rings.length - 1]!;
  for (const step of [1, 2, 5, 10, 20, 50]) {
    const chosen = rings.filter((ring) => ring === last || ring.label % step === 0);
    const kept = chosen.filter((ring) => ring === last || last.radius - ring.radius >= room);
    const radii = kept.map((ring) => ring.radius);
    if (radii.every((radius, i) => i === 0 || radius - radii[i - 1]! >= room)) {
      return kept.map((ring) => ring.label);
    }
  }
  return [last.label];
}
