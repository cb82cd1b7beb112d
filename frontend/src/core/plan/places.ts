/** Lengths of places as typed and shown, and where a new place finds room. */

import type { Units } from './bar';
import type { PlanBench } from './types';

const MM: Record<Units, number> = { metric: 10, inch: 25.4 }; // cm; inch by definition
/** Left free between a new place and the nearest one, in mm: a path. */
export const DEPTH_GAP_MM = 1300;

/** A length as it stands in a field, in cm or inches. */
export function lengthShown(value_mm: number, units: Units, locale: string): string {
  return new Intl.NumberFormat(locale, { maximumFractionDigits: 1, useGrouping: false }).format(
    value_mm / MM[units],
  );
}

/** A length that was typed, in mm; undefined where it is no number. Comma and point both part decimals. */
export function lengthOf(typed: string, units: Units): number | undefined {
  const bare = typed
    .trim()
    .replace(/\u2212/g, '-')
    .replace(',', '.');
  if (!/^-?\d+(\.\d*)?$/.test(bare)) return undefined;
  return Math.round(Number(bare) * MM[units]);
}

/** The corner of a new place: behind all others, a path away; where there is none, at the origin. */
export function freePlace(benches: readonly PlanBench[], gap_mm: number): { x_mm: number; y_mm: number } {
  if (!benches.length) return { x_mm: 0, y_mm: 0 };
  const back = Math.max(...benches.map((bench) => bench.y_mm + bench.depth_mm));
  return { x_mm: Math.min(...benches.map((bench) => bench.x_mm)), y_mm: back + gap_mm };
}
