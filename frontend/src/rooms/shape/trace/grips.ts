/** What can be taken hold of on a photo: points that were clicked, and edges that other wood lies over. */

import type { Schema } from '../../../api/client';
import type { Place } from './draft';

/** A stretch of a branch where other wood lies over it, with the pair of places to move. */
export interface Run {
  branch: string;
  pair: Place[];
}
export type Grip = { place: Place } & (
  { of: 'place'; index: number } | { of: 'edge'; run: Run; side: number }
);

const SHORTEST = 3; // stations; fewer are read across

const pair = (place: number[]): Place => [place[0]!, place[1]!];
const gap = (a: Place, b: Place) => Math.hypot(a[0] - b[0], a[1] - b[1]);

/** Where other wood lies over a branch, each stretch with both edges at its middle. */
export function overlapped(edge: Schema<'TraceEdge'>): Run[] {
  const found: Run[] = [];
  let from = -1;
  for (let i = 0; i <= edge.clean.length; i += 1) {
    const bad = i < edge.clean.length && !edge.clean[i];
    if (bad && from < 0) from = i;
    if (bad || from < 0) continue;
    const at = Math.floor((from + i - 1) / 2);
    const [a, b] = [edge.left[at], edge.right[at]];
    if (i - from >= SHORTEST && a && b) found.push({ branch: edge.id, pair: [pair(a), pair(b)] });
    from = -1;
  }
  return found;
}

/** The grip within reach of a place; an edge's before a point's, since points stand in the middle of the wood. */
export function nearestGrip(grips: readonly Grip[], place: Place, reach: number): number {
  const gaps = grips.map((grip) => gap(grip.place, place));
  for (const of of ['edge', 'place'] as const) {
    const near = Math.min(...gaps.filter((_gap, i) => grips[i]!.of === of));
    if (near < reach) return gaps.findIndex((each, i) => each === near && grips[i]!.of === of);
  }
  return -1;
}
