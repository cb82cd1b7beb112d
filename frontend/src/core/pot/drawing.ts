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

/** How much ink a share of water takes, 0 to 1. */
export function toneOf(share_v: number): number {
  return DARKEST * Math.min(1, Math.max(0, share_v / FULL_V)) ** BEND;
}

/** Stops of the tone from the lowest point up, by share of the height. */
export function stops(layers: readonly Layer[]): { offset: number; ink: number }[] {
  const top = layers.at(-1)?.height_mm ?? 0;
  if (!(top > 0)) return [];
  return layers.map((layer) => ({ offset: layer.height_mm / top, ink: toneOf(layer.median_v) }));
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
