/** From the cut in millimetres to the screen: one scale for all that lie side by side, tones, the profile, labels. */

import { boxOf } from './cut';
import type { CutValues, Layer, Point } from './types';

const MOST_PX_PER_MM = 1.8;
const FULL_V = 0.9; // a mix that is all water; tones are made for all drawings alike, so that they can be compared
const DARKEST = 0.85;
const BEND = 1.6; // spreads the tones of wet mixes, where most pots lie

/** Pixels a millimetre, so that every cut fits the width and the height. */
export function commonScale(cuts: readonly CutValues[], room: { width: number; height: number }): number {
  const fits = cuts.map((cut) => {
    const box = boxOf(cut);
    return Math.min(room.width / (box.right - box.left), room.height / (box.top - box.bottom));
  });
  return Math.min(MOST_PX_PER_MM, ...fits);
}

/** The most height that a cut takes on the screen whatever is tried of it, so that a slider does not move the page. */
export function mostHeight(
  cut: CutValues,
  range: { depth_high_mm: number; tilt_high_deg: number },
  room: { width: number; height: number },
): number {
  const unfilled = cut.depth_mm - cut.fill_height_mm;
  const tried = [cut.depth_mm, Math.max(cut.depth_mm, range.depth_high_mm)].flatMap((depth_mm) =>
    [0, 0.5, 1].map((share) => ({
      ...cut,
      depth_mm,
      fill_height_mm: depth_mm - unfilled,
      tilt_deg: share * range.tilt_high_deg,
    })),
  );
  return Math.max(
    ...tried.map((each) => {
      const box = boxOf(each);
      return (box.top - box.bottom) * commonScale([each], room);
    }),
  );
}

/** How much ink a share of water takes, 0 to 1. */
export function toneOf(share_v: number): number {
  return DARKEST * Math.min(1, Math.max(0, share_v / FULL_V)) ** BEND;
}

/** Stops of the tone from the lowest point up, by share of the height; every second layer is enough for the eye. */
export function stops(layers: readonly Layer[]): { offset: number; ink: number }[] {
  const top = layers.at(-1)?.height_mm ?? 0;
  if (!(top > 0)) return [];
  return layers
    .filter((_layer, i) => i % 2 === 0 || i === layers.length - 1)
    .map((layer) => ({ offset: layer.height_mm / top, ink: toneOf(layer.median_v) }));
}

/** Points on the screen as the d of a path. */
export function pathThrough(points: readonly Point[], to: (point: Point) => Point, isClosed = true): string {
  if (points.length === 0) return '';
  const said = points.map((point) =>
    to(point)
      .map((value) => value.toFixed(1))
      .join(' '),
  );
  return `M${said.join('L')}${isClosed ? 'Z' : ''}`;
}

/** Water by height as a line and a band: x is the share, y the height above the lowest point. */
export function profile(
  layers: readonly Layer[],
  x: (share_v: number) => number,
  y: (height_mm: number) => number,
): { median: Point[]; band: Point[] } {
  return {
    median: layers.map((layer) => [x(layer.median_v), y(layer.height_mm)] as const),
    band: [
      ...layers.map((layer) => [x(layer.low_v), y(layer.height_mm)] as const),
      ...layers.map((layer) => [x(layer.high_v), y(layer.height_mm)] as const).reverse(),
    ],
  };
}

/** The longest bar of 1, 2, 5, 10 or 20 cm (or inches) that is at most a share of the width. */
export function scaleBar(
  px_per_mm: number,
  most_px: number,
  units: 'metric' | 'inch',
): { length_mm: number; count: number } {
  const unit = units === 'inch' ? 25.4 : 10;
  const counts = [20, 10, 5, 2, 1];
  const count = counts.find((each) => each * unit * px_per_mm <= most_px) ?? 1;
  return { length_mm: count * unit, count };
}

/** Depths that a slider stops at, the pot's own among them. */
export function depths(
  range: { depth_low_mm: number; depth_high_mm: number; depth_step_mm: number; depth_mm: number },
  units: 'metric' | 'inch',
): number[] {
  const step = units === 'inch' ? 25.4 / 4 : range.depth_step_mm;
  const found: number[] = [];
  for (let at = Math.ceil(range.depth_low_mm / step) * step; at <= range.depth_high_mm + 1e-9; at += step) {
    if (Math.abs(at - range.depth_mm) > step / 4) found.push(Math.round(at * 100) / 100);
  }
  return [...found, range.depth_mm].sort((a, b) => a - b);
}

const CHARACTER_px = 7.2; // width of one at 14 px, on the large side
const CLEAR_px = 4;

export interface Leader {
  words: string;
  /** What is named, on the screen. */
  at: Point;
  /** Whether its words begin at the leader rather than end there. */
  isStart: boolean;
}

export interface Label extends Leader {
  lines: string[];
  /** Row of its first line. */
  row: number;
  x: number;
  anchor: 'start' | 'end';
}

/** Words in lines of at most so many characters, broken at blanks. */
export function inLines(words: string, most: number): string[] {
  const lines: string[] = [];
  for (const word of words.split(' ')) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + 1 + word.length <= most)
      lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/** Labels below a drawing, each on rows of its own, within the width and clear of the leaders that pass it. */
export function labelsBelow(leaders: readonly Leader[], width: number): Label[] {
  let row = 0;
  return leaders.map((leader, i) => {
    const lines = inLines(leader.words, Math.floor(width / CHARACTER_px));
    const long = Math.min(width, Math.max(...lines.map((line) => line.length)) * CHARACTER_px);
    const passing = leaders.slice(i + 1).map(({ at: [x] }) => x);
    const found = { ...leader, lines, row, ...placed(leader, long, passing, width) };
    row += lines.length;
    return found;
  });
}

function placed(
  { at: [x], isStart }: Leader,
  long: number,
  passing: readonly number[],
  width: number,
): { x: number; anchor: 'start' | 'end' } {
  if (isStart) return { x: Math.max(0, Math.min(width - long, x - long * 0.25)), anchor: 'start' };
  const end = Math.min(x + 8, ...passing.map((each) => each - CLEAR_px));
  if (end >= long) return { x: end, anchor: 'end' };
  const from = Math.max(0, ...passing.map((each) => each + CLEAR_px));
  return { x: passing.length && from + long <= width ? from : 0, anchor: 'start' };
}
