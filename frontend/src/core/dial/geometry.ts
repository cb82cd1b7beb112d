/** The dial's geometry: time is the angle, girth is the radius. The viewer's box is 1000 wide, its middle is 0, 0. */

import type { DialData } from './types';

export const RIM = 452; // the outermost circle of the drawing; beyond it only the names of the months
const SEED = 5; // the seed's dot is never smaller, so that a tree of weeks has a middle

/** Where the three parts lie, from the middle outward. */
export interface Zones {
  wood: number; // radius of today's girth
  barkIn: number;
  barkOut: number;
  airIn: number;
  airOut: number;
}

/** The parts share the radius; without years ahead the wood has their room. */
export function zonesOf(ahead: boolean): Zones {
  return ahead
    ? { wood: 254, barkIn: 262, barkOut: 352, airIn: 358, airOut: RIM }
    : { wood: 340, barkIn: 350, barkOut: RIM - 6, airIn: RIM, airOut: RIM };
}

/** Linear interpolation over corners [x, y] with rising x; the ends hold outside. */
export function between(corners: readonly (readonly number[])[], x: number): number {
  const first = corners[0];
  const last = corners[corners.length - 1];
  if (!first || !last) return Number.NaN;
  if (x <= first[0]!) return first[1]!;
  if (x >= last[0]!) return last[1]!;
  let low = 0;
  let high = corners.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (corners[middle]![0]! <= x) low = middle;
    else high = middle;
  }
  const [x0, y0] = corners[low] as [number, number];
  const [x1, y1] = corners[high] as [number, number];
  return x1 === x0 ? y1 : y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
}

/** Both ways between girth and radius, for one tree. */
export interface Scale {
  zones: Zones;
  girthNow: number;
  girthFar: number;
  /** Radius of a girth in the wood. */
  wood(girthMm: number): number;
  /** Radius of a girth in the years ahead, on their own scale. */
  air(girthMm: number): number;
}

export function scaleOf(dial: DialData): Scale {
  const zones = zonesOf(dial.ahead.length > 0);
  const last = dial.line[dial.line.length - 1];
  const girthNow = Math.max(last?.[1] ?? 0, 1e-6);
  const girthFar = Math.max(...dial.ahead.map((year) => year.high_mm), girthNow * 1.02);
  return {
    zones,
    girthNow,
    girthFar,
    wood: (girth) => SEED + ((zones.wood - SEED) * Math.max(girth, 0)) / girthNow,
    air: (girth) =>
      zones.airIn + ((zones.airOut - zones.airIn) * Math.max(girth - girthNow, 0)) / (girthFar - girthNow),
  };
}

/** A point at a share of the year (clockwise from the top) and a radius. */
export function at(frac: number, radius: number): [number, number] {
  const angle = frac * 2 * Math.PI;
  return [radius * Math.sin(angle), -radius * Math.cos(angle)];
}

/** A tenth of a drawing unit is finer than any screen. */
const spell = (value: number) => String(Math.round(value * 10) / 10 || 0);

/** Points as the path of a line or, closed, of a surface. */
export function pathOfPoints(points: readonly (readonly number[])[], closed = false): string {
  const body = points.map(([x, y], i) => `${i ? 'L' : 'M'}${spell(x!)} ${spell(y!)}`).join('');
  return closed && body ? `${body}Z` : body;
}

/** Times from one to another in steps of at most a hundredth of a year, ends included. */
export function steps(from: number, to: number, step = 0.01): number[] {
  const count = Math.max(1, Math.ceil((to - from) / step - 1e-9));
  return Array.from({ length: count + 1 }, (_, i) => from + ((to - from) * i) / count);
}

/** A line at one radius between two shares of the year, as a path for text to run along. */
export function arcPath(from: number, to: number, radius: number, backwards = false): string {
  const points = steps(from, to, 0.02).map((frac) => at(frac, radius));
  return pathOfPoints(backwards ? points.reverse() : points);
}

/** Whether text that runs clockwise at this share of the year would stand on its head. */
export function isBelow(frac: number): boolean {
  const share = ((frac % 1) + 1) % 1;
  return share > 0.25 && share < 0.75;
}
