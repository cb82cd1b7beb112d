/**
 * The cutting plane's arithmetic. A cut lies at a way along the trunk. What leaves the trunk at or beyond it comes off,
 * however low it hangs; what leaves below it stays, however high it reaches.
 */

import type { BranchPlace, CutLine, ReadOut, Side } from './types';

/** The whole way along the trunk. */
export function wholeWay(line: CutLine): number {
  return line.along_mm[line.along_mm.length - 1] ?? 0;
}

/** The trunk's segment that holds a way, and how far up in it, 0 to 1. */
export function segmentAt(line: CutLine, along_mm: number): { index: number; share: number } {
  const last = line.along_mm.length - 2;
  let low = 0;
  let high = Math.max(0, last);
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (line.along_mm[middle]! <= along_mm) low = middle;
    else high = middle - 1;
  }
  const from = line.along_mm[low]!;
  const to = line.along_mm[low + 1] ?? from;
  const share = to > from ? (along_mm - from) / (to - from) : 0;
  return { index: low, share: Math.min(1, Math.max(0, share)) };
}

/** A value of the trunk between its nodes, in proportion. */
export function between(values: readonly number[], at: { index: number; share: number }): number {
  const low = values[at.index] ?? 0;
  return low + ((values[at.index + 1] ?? low) - low) * at.share;
}

/** The place of the cut and the direction of the trunk there, a unit vector. */
export function cutPlace(line: CutLine, along_mm: number): { at: number[]; way: number[] } {
  const where = segmentAt(line, along_mm);
  const axes = [line.x_mm, line.y_mm, line.z_mm];
  const way = axes.map((axis) => (axis[where.index + 1] ?? 0) - (axis[where.index] ?? 0));
  const length = Math.hypot(...way) || 1;
  return { at: axes.map((axis) => between(axis, where)), way: way.map((step) => step / length) };
}

/** Both sides of a cut at a way along the trunk. */
export function readOut(line: CutLine, branches: readonly BranchPlace[], along_mm: number): ReadOut {
  const where = segmentAt(line, along_mm);
  const z_mm = between(line.z_mm, where);
  const girth_mm = between(line.girth_mm, where);
  const x_mm = between(line.x_mm, where);
  const below = extent(line, x_mm, z_mm, (each) => each < along_mm);
  const above = extent(line, x_mm, z_mm, (each) => each >= along_mm);
  const isBelow = branches.filter((branch) => branch.along_mm < along_mm).length;
  return {
    along_mm,
    z_mm,
    diameter_mm: between(line.diameter_mm, where),
    girth_mm,
    below: side(below, below.top_mm, line.base_girth_mm, isBelow),
    above: side(above, above.top_mm - z_mm, girth_mm, branches.length - isBelow),
  };
}

interface Extent {
  top_mm: number;
  left_mm: number;
  right_mm: number;
  tips: number;
}

/** How far one side reaches; the place of the cut is the end of both. */
function extent(line: CutLine, x_mm: number, z_mm: number, has: (along_mm: number) => boolean): Extent {
  const found = { top_mm: z_mm, left_mm: x_mm, right_mm: x_mm, tips: 0 };
  line.along_mm.forEach((along_mm, node) => {
    if (!has(along_mm)) return;
    const [x, z] = [line.x_mm[node]!, line.z_mm[node]!];
    found.top_mm = Math.max(found.top_mm, z, line.top_mm[node] ?? z);
    found.left_mm = Math.min(found.left_mm, x, line.left_mm[node] ?? x);
    found.right_mm = Math.max(found.right_mm, x, line.right_mm[node] ?? x);
    found.tips += line.tips[node]!;
  });
  return found;
}

function side(reach: Extent, height_mm: number, girth_mm: number, branches: number): Side {
  return {
    height_mm,
    girth_mm,
    height_to_girth: girth_mm > 0 ? height_mm / girth_mm : null,
    width_mm: reach.right_mm - reach.left_mm,
    branches,
    tips: reach.tips,
  };
}

/**
 * For each corner of a mesh the way along the trunk that decides whether a cut takes it off: on the trunk its own, on
 * anything else that of the node where its branch leaves.
 */
export function cornerWays(
  line: CutLine,
  positions_mm: ArrayLike<number>,
  segments: ArrayLike<number>,
): Float32Array {
  const trunk = new Int32Array(line.node.length).fill(-1);
  line.trunk_rows.forEach((row, index) => (trunk[row] = index));
  const ways = new Float32Array(segments.length);
  for (let corner = 0; corner < segments.length; corner += 1) {
    const row = segments[corner]!;
    const index = trunk[row] ?? -1;
    ways[corner] =
      index < 0 ? (line.along_mm[line.node[row] ?? 0] ?? 0) : onTrunk(line, index, positions_mm, 3 * corner);
  }
  return ways;
}

function onTrunk(line: CutLine, index: number, positions_mm: ArrayLike<number>, at: number): number {
  const [x, y, z] = [line.x_mm[index]!, line.y_mm[index]!, line.z_mm[index]!];
  const dx = line.x_mm[index + 1]! - x;
  const dy = line.y_mm[index + 1]! - y;
  const dz = line.z_mm[index + 1]! - z;
  const along =
    (positions_mm[at]! - x) * dx + (positions_mm[at + 1]! - y) * dy + (positions_mm[at + 2]! - z) * dz;
  const square = dx * dx + dy * dy + dz * dz;
  const share = square > 0 ? Math.min(1, Math.max(0, along / square)) : 0;
  const from = line.along_mm[index]!;
  return from + share * (line.along_mm[index + 1]! - from);
}
