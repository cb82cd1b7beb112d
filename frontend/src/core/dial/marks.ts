/** Marks and windows: where an entry sits on the wood, and how a window lies on the bark. */

import { at, between, pathOfPoints, steps, type Scale } from './geometry';
import type { DialData, DialMark, DialStage, DialWindow, MarkKind } from './types';

/** An entry placed: on the line of its year, or on the bark in this year and for plans. */
export interface PlacedMark {
  mark: DialMark;
  x: number;
  y: number;
  angle: number; // degrees clockwise from the top, for marks that are strokes across a ring
  radius: number;
  trail: string; // the span of a date that is not exact
}

/** Where the rows of the bark lie: marks at its foot, windows above them. `size` is the half size of a mark. */
export function rowsOf(scale: Scale, size: number): { marks: number; windows: number } {
  const marks = scale.zones.barkIn + 4 + size * 1.4;
  return { marks, windows: marks + size * 1.5 };
}

/** This year's marks sit at the foot of the bark so that its windows stay clear; none lies on another of its ring. */
export function placedMarks(dial: DialData, scale: Scale, size = 8): PlacedMark[] {
  const begin = dial.line[0]?.[0] ?? Number.POSITIVE_INFINITY;
  const foot = rowsOf(scale, size).marks;
  const radiusAt = (mark: DialMark, time: number): number => {
    if (mark.year >= dial.year || mark.kind === 'planned') return foot;
    if (time < begin) return scale.wood(dial.line[0]?.[1] ?? 0) / 2; // older than the wood that is known
    return scale.wood(between(dial.line, time));
  };
  const fracs = apart(dial, (mark) => radiusAt(mark, mark.year + mark.frac), size * 2.3);
  return dial.marks.map((mark, i) => {
    const radius = radiusAt(mark, mark.year + mark.frac);
    const frac = fracs[i]!;
    const [x, y] = at(frac, radius);
    const trail =
      mark.spread_frac > 0.006
        ? pathOfPoints(
            steps(mark.frac - mark.spread_frac, mark.frac + mark.spread_frac).map((share) =>
              at(share, radiusAt(mark, Math.max(mark.year + share, Math.min(begin, mark.year + mark.frac)))),
            ),
          )
        : '';
    return { mark, x, y, angle: frac * 360, radius, trail };
  });
}

const SHIFTS = [0, 1, -1, 2, -2, 3, -3, 4, -4, -5, -6, -7, -8]; // in widths of a mark; beyond that it may lie on another

/** Marks stand beside each other: in the order of time, each goes to the nearest free place along its ring. */
function apart(dial: DialData, radiusOf: (mark: DialMark) => number, gap: number): number[] {
  const fracs = dial.marks.map((mark) => mark.frac);
  const order = dial.marks.map((_mark, i) => i);
  order.sort((a, b) => dial.marks[a]!.year - dial.marks[b]!.year || fracs[a]! - fracs[b]!);
  const taken: [number, number][] = [];
  for (const i of order) {
    const radius = Math.max(radiusOf(dial.marks[i]!), gap);
    const step = Math.min(0.03, gap / (2 * Math.PI * radius));
    // what has happened never moves past today's hand
    const latest = dial.marks[i]!.year === dial.year && fracs[i]! <= dial.today_frac ? dial.today_frac : 2;
    const places = SHIFTS.map((shift) => fracs[i]! + shift * step).filter((frac) => frac <= latest);
    const isFree = (frac: number) => {
      const [x, y] = at(frac, radius);
      return taken.every(([x0, y0]) => Math.hypot(x - x0, y - y0) >= gap * 0.98);
    };
    fracs[i] = places.find(isFree) ?? fracs[i]!;
    taken.push(at(fracs[i]!, radius));
  }
  return fracs;
}

/** The mark nearest to a point within a reach; ties go to the later entry. */
export function nearest(
  marks: readonly PlacedMark[],
  x: number,
  y: number,
  reach: number,
): PlacedMark | null {
  let best: PlacedMark | null = null;
  let shortest = reach;
  for (const mark of marks) {
    const far = Math.hypot(mark.x - x, mark.y - y);
    if (far <= shortest) {
      shortest = far;
      best = mark;
    }
  }
  return best;
}

/** The line drawing of a mark around 0, 0 with a half size of 1; a shape before it is a colour. */
export const MARK_SHAPES: Record<MarkKind, string> = {
  seen: 'M0.85 0A0.85 0.85 0 1 1 -0.85 0A0.85 0.85 0 1 1 0.85 0Z',
  measured: 'M-0.9 0H0.9M-0.9 -0.7V0.7M0.9 -0.7V0.7',
  worked: 'M0 -1.5V1.5M-0.7 0H0.7',
  noted: 'M0.5 0A0.5 0.5 0 1 1 -0.5 0A0.5 0.5 0 1 1 0.5 0Z',
  photo: 'M-0.85 -0.85H0.85V0.85H-0.85Z',
  planned: 'M0 -1L1 0.8H-1Z',
  asked: 'M0 -1.1L1.1 0L0 1.1L-1.1 0Z',
};

/** A window as a surface on the bark that swells where it surely is open. */
export interface WindowArc {
  window: DialWindow;
  lane: number;
  shape: string;
  from: number;
  to: number;
  radius: number; // of its middle line
  height: number; // of its lane
  later: boolean; // it lies in the next growing year
}

const ramp = (x: number, a: number, b: number, c: number) =>
  x <= a
    ? 0
    : x < b
      ? (0.5 * (x - a)) / Math.max(b - a, 1e-9)
      : x < c
        ? 0.5 + (0.5 * (x - b)) / Math.max(c - b, 1e-9)
        : 1;

/** The share of certainty that a window is open at a time: through 1 in 10, the median and 9 in 10. */
export function openShare(window: DialWindow, time: number): number {
  const opened = ramp(time, window.opens_low, window.opens, window.opens_high);
  const closed = ramp(time, window.closes_low, window.closes, window.closes_high);
  return Math.max(0, Math.min(opened, 1 - closed));
}

const NOT_YET = 0.05; // "under 1 in 20"
const SURELY = 0.95;

/** Whether it is neither sure that a window is open today nor that it is not. */
export function isInDoubt(window: DialWindow): boolean {
  const chance = window.chance.value;
  return window.state !== 'blocked' && chance !== null && chance >= NOT_YET && chance <= SURELY;
}

/**
 * Windows in lanes, each as high as its share of being open; lanes keep those apart that overlap in time. `most` is
 * the greatest height of a lane.
 */
export function windowArcs(dial: DialData, scale: Scale, size = 8, most = 26, mostLanes = 3): WindowArc[] {
  const { barkOut } = scale.zones;
  const low = rowsOf(scale, size).windows;
  const ends: number[] = [];
  const rank = (window: DialWindow) => (window.wanted ? 0 : 10) + (window.state === 'open' ? 0 : 1);
  const sorted = [...dial.windows].sort((a, b) => rank(a) - rank(b) || a.opens_low - b.opens_low);
  const kept: { window: DialWindow; lane: number; from: number; to: number; shift: number }[] = [];
  for (const window of sorted) {
    const later = window.opens >= 1;
    const shift = later ? 1 : 0;
    const from = window.opens_low - shift;
    const to = Math.min(window.closes_high - shift, from + 0.98);
    let lane = ends.findIndex((end) => from > end + 0.16); // room for the name that follows the arc
    if (lane < 0) lane = ends.length;
    if (lane >= mostLanes) continue; // the list beside the dial has it
    ends[lane] = to;
    kept.push({ window, lane, from, to, shift });
  }
  const height = Math.min(most, (barkOut - low - 3) / Math.max(ends.length, 1));
  return kept.map(({ window, lane, from, to, shift }) => {
    const base = low + lane * height;
    const shape = steps(from, to, 0.004);
    const top = shape.map((time) =>
      at(time, base + (height - 3) * (0.08 + 0.92 * openShare(window, time + shift))),
    );
    const bottom = shape.map((time) => at(time, base));
    return {
      window,
      lane,
      shape: pathOfPoints([...top, ...bottom.reverse()], true),
      from,
      to,
      radius: base + height / 2,
      height,
      later: shift > 0,
    };
  });
}

/** The window under a finger on the bark: the nearest lane, an arc as wide as a finger at least. */
export function windowAt(
  arcs: readonly WindowArc[],
  x: number,
  y: number,
  scale: Scale,
  reach: number,
): WindowArc | null {
  const radius = Math.hypot(x, y);
  if (radius < scale.zones.barkIn - reach / 2 || radius > scale.zones.barkOut + reach / 2) return null;
  const frac = (Math.atan2(x, -y) / (2 * Math.PI) + 1) % 1;
  let best: WindowArc | null = null;
  let shortest = Number.POSITIVE_INFINITY;
  for (const arc of arcs) {
    const beside = Math.min(
      ...[-1, 0, 1].map((turn) => Math.max(0, arc.from - frac - turn, frac + turn - arc.to)),
    );
    const off = beside * 2 * Math.PI * arc.radius;
    if (off > reach) continue;
    const far = Math.abs(radius - arc.radius) + off;
    if (far < shortest) {
      shortest = far;
      best = arc;
    }
  }
  return best;
}

/** A stage that is expected this year, with its band, on the inner edge of the bark. */
export interface PlacedStage {
  stage: DialStage;
  frac: number;
  band: string;
}

export function placedStages(dial: DialData, scale: Scale): PlacedStage[] {
  const placed: PlacedStage[] = [];
  for (const stage of dial.stages) {
    const frac = stage.median_frac;
    if (stage.seen_frac !== null || frac === null || frac > 1.05) continue; // what was seen is a mark
    const band =
      stage.low_frac !== null && stage.high_frac !== null
        ? pathOfPoints(steps(stage.low_frac, stage.high_frac).map((share) => at(share, scale.zones.barkIn)))
        : '';
    placed.push({ stage, frac, band });
  }
  return placed;
}
