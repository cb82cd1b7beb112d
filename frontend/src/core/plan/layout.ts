/**
 * Where the places of the yard come to lie on the drawing, and back again.
 *
 * An oblique projection: along a bench and up a tree everything is true to scale, depth is drawn at `DEPTH_RATIO`.
 * A drawing is made of pieces. As a plan every place is one piece where the grower put it; bench by bench (on a
 * narrow screen) a long place is cut between two trees and goes on below, at the same scale.
 */

import type { Box, PlanBench, PlanSpot } from './types';

/** Depth as drawn against its true length; less than 1 so that rows read as rows and trees as standing. */
export const DEPTH_RATIO = 0.6;

/** A place, or a part of one between two cuts. */
export interface Piece<S extends PlanSpot = PlanSpot> {
  bench: PlanBench<S>;
  from_mm: number;
  to_mm: number;
  /** Where its left front corner lies, in px. */
  left: number;
  front: number;
  /** Whether the place goes on to the left or to the right. */
  isCutLeft: boolean;
  isCutRight: boolean;
  spots: S[];
}

export interface Layout<S extends PlanSpot = PlanSpot> {
  /** Drawing px in one mm. */
  scale: number;
  width: number;
  height: number;
  /** From the back to the front: what comes later is drawn over what came before. */
  pieces: Piece<S>[];
}

/** Room kept around the drawing, in px. */
export interface Margins {
  side: number;
  above: number;
  /** Under the front edge of a place, for its name. */
  plate: number;
}

export const MARGINS: Margins = { side: 16, above: 24, plate: 62 };
/** On a narrow screen the page itself has a margin. */
export const NARROW_MARGINS: Margins = { side: 8, above: 16, plate: 66 };

/** How high above the front edge of its place a tree reaches on the drawing, in mm. */
function reach_mm(spot: PlanSpot): number {
  return DEPTH_RATIO * spot.y_mm + (spot.pot_depth_mm ?? 0) + spot.height_mm;
}

function back_mm(bench: PlanBench): number {
  return DEPTH_RATIO * bench.depth_mm;
}

/** The extent of the yard on the drawing, in mm: trees and places, depth already shortened. */
function extent_mm(benches: readonly PlanBench[]): Box {
  const box: Box = { left: Infinity, right: -Infinity, bottom: Infinity, top: -Infinity };
  for (const bench of benches) {
    const front = DEPTH_RATIO * bench.y_mm;
    box.left = Math.min(box.left, bench.x_mm);
    box.right = Math.max(box.right, bench.x_mm + bench.length_mm);
    box.bottom = Math.min(box.bottom, front);
    box.top = Math.max(box.top, front + back_mm(bench));
    for (const spot of bench.spots) {
      box.left = Math.min(box.left, bench.x_mm + spot.x_mm - spot.width_mm / 2);
      box.right = Math.max(box.right, bench.x_mm + spot.x_mm + spot.width_mm / 2);
      box.bottom = Math.min(box.bottom, front + DEPTH_RATIO * spot.y_mm);
      box.top = Math.max(box.top, front + reach_mm(spot));
    }
  }
  return benches.length ? box : { left: 0, right: 1, bottom: 0, top: 1 };
}

/** The scale at which the whole yard is as wide as the screen, in px per mm. */
export function fitScale(benches: readonly PlanBench[], width: number, margins = MARGINS): number {
  const box = extent_mm(benches);
  return Math.max(width - 2 * margins.side, 40) / Math.max(box.right - box.left, 1800);
}

/** The yard as an estate map: every place where it stands. */
export function planLayout<S extends PlanSpot>(
  benches: readonly PlanBench<S>[],
  scale: number,
  margins = MARGINS,
): Layout<S> {
  const box = extent_mm(benches);
  const pieces = [...benches]
    .sort((a, b) => b.y_mm - a.y_mm || a.x_mm - b.x_mm)
    .map((bench): Piece<S> => ({
      bench,
      from_mm: 0,
      to_mm: bench.length_mm,
      left: margins.side + (bench.x_mm - box.left) * scale,
      front: margins.above + (box.top - DEPTH_RATIO * bench.y_mm) * scale,
      isCutLeft: false,
      isCutRight: false,
      spots: backToFront(bench.spots),
    }));
  return {
    scale,
    width: 2 * margins.side + (box.right - box.left) * scale,
    height: margins.above + (box.top - box.bottom) * scale + margins.plate,
    pieces,
  };
}

/** The yard bench by bench, each as wide as the screen allows; the front bench comes first. */
export function foldedLayout<S extends PlanSpot>(
  benches: readonly PlanBench<S>[],
  scale: number,
  width: number,
  margins = NARROW_MARGINS,
): Layout<S> {
  const room_mm = Math.max((width - 2 * margins.side) / scale, 300);
  const pieces: Piece<S>[] = [];
  let bottom = 0;
  for (const bench of [...benches].sort((a, b) => a.y_mm - b.y_mm || a.x_mm - b.x_mm)) {
    const cuts = cutsOf(bench, room_mm);
    for (let i = 0; i + 1 < cuts.length; i += 1) {
      const [from_mm, to_mm] = [cuts[i]!, cuts[i + 1]!];
      const isLast = i + 2 === cuts.length;
      const spots = backToFront(bench.spots.filter((spot) => pieceIndex(spot.x_mm, cuts) === i));
      const tall_mm = Math.max(back_mm(bench), ...spots.map(reach_mm));
      const front = bottom + margins.above + tall_mm * scale;
      bottom = front + margins.plate;
      pieces.push({
        bench,
        from_mm,
        to_mm,
        left: margins.side,
        front,
        isCutLeft: i > 0,
        isCutRight: !isLast,
        spots,
      });
    }
  }
  return { scale, width, height: bottom, pieces };
}

function pieceIndex(x_mm: number, cuts: readonly number[]): number {
  const inner = cuts.slice(1, -1);
  return inner.filter((cut) => x_mm >= cut).length;
}

/** Where a place is cut so that each part fits: between two trees, the parts about equally long. */
export function cutsOf(bench: PlanBench, room_mm: number): number[] {
  const parts = Math.ceil(bench.length_mm / room_mm - 1e-9);
  const cuts = [0];
  const spots = [...bench.spots].sort((a, b) => a.x_mm - b.x_mm);
  const gaps = spots.slice(1).map((spot, i) => {
    const left = spots[i]!;
    // the middle of what lies free between two crowns, not between two trunks
    return (left.x_mm + left.width_mm / 2 + spot.x_mm - spot.width_mm / 2) / 2;
  });
  while (bench.length_mm - cuts.at(-1)! > room_mm + 1e-6) {
    const last = cuts.at(-1)!;
    const partsLeft = Math.max(parts - cuts.length + 1, 2);
    const wish = last + (bench.length_mm - last) / partsLeft;
    const able = gaps.filter((gap) => gap > last + room_mm / 4 && gap <= last + room_mm);
    const near = able.sort((a, b) => Math.abs(a - wish) - Math.abs(b - wish))[0];
    cuts.push(near ?? last + Math.min(room_mm, bench.length_mm - last));
  }
  return [...cuts, bench.length_mm];
}

function backToFront<S extends PlanSpot>(spots: readonly S[]): S[] {
  return [...spots].sort((a, b) => b.y_mm - a.y_mm || a.x_mm - b.x_mm);
}

/** A point of a place on the drawing, in px: x from its left end, y from its front edge, z up. */
export function project(piece: Piece, scale: number, x_mm: number, y_mm: number, z_mm = 0): [number, number] {
  return [piece.left + (x_mm - piece.from_mm) * scale, piece.front - (DEPTH_RATIO * y_mm + z_mm) * scale];
}

/** The point of a place that is drawn there, if it lay in the plane of the place. */
export function unproject(piece: Piece, scale: number, x: number, y: number): [number, number] {
  return [piece.from_mm + (x - piece.left) / scale, (piece.front - y) / (scale * DEPTH_RATIO)];
}

/** The table of a piece, in px. */
export function tableOf(piece: Piece, scale: number): Box {
  const [left, bottom] = project(piece, scale, piece.from_mm, 0);
  const [right, top] = project(piece, scale, piece.to_mm, piece.bench.depth_mm);
  return { left, top, right, bottom };
}

/** What a tree takes on the drawing, in px; never smaller than a finger. */
export function boxOf(piece: Piece, spot: PlanSpot, scale: number, least = 44): Box {
  const [x, bottom] = project(piece, scale, spot.x_mm, spot.y_mm);
  const half = Math.max(spot.width_mm * scale, least) / 2;
  const tall = Math.max((spot.height_mm + (spot.pot_depth_mm ?? 0)) * scale, least);
  return { left: x - half, right: x + half, top: bottom - tall, bottom };
}

/** The tree under a point: the one in front where several overlap, nearest trunk first within a row. */
export function treeAt<S extends PlanSpot>(layout: Layout<S>, x: number, y: number): S | undefined {
  for (const piece of [...layout.pieces].reverse()) {
    const hits = piece.spots.filter((spot) => {
      const box = boxOf(piece, spot, layout.scale);
      return x >= box.left && x <= box.right && y >= box.top && y <= box.bottom;
    });
    const off = (spot: S): number => Math.abs(project(piece, layout.scale, spot.x_mm, spot.y_mm)[0] - x);
    const nearest = hits.sort((a, b) => a.y_mm - b.y_mm || off(a) - off(b))[0];
    if (nearest) return nearest;
  }
  return undefined;
}

export type Target =
  | { kind: 'bench'; bench: string; x_mm: number; y_mm: number }
  | { kind: 'ground'; x_mm: number; y_mm: number };

/**
 * What is meant by a drop there: a spot on a place, or free ground.
 *
 * A finger is thick: `slack` px around a table still mean it. The spot is kept on the table. On the ground the
 * point is told in the yard's own mm, which only the plan has; bench by bench a drop beside every table means none.
 */
export function dropTarget(layout: Layout, x: number, y: number, slack = 18): Target | undefined {
  let best: { piece: Piece; off: number } | undefined;
  for (const piece of layout.pieces) {
    const table = tableOf(piece, layout.scale);
    const off = Math.max(table.left - x, x - table.right, table.top - y, y - table.bottom, 0);
    if (off <= slack && (!best || off < best.off)) best = { piece, off };
  }
  if (best) {
    const { bench, from_mm, to_mm } = best.piece;
    const [x_mm, y_mm] = unproject(best.piece, layout.scale, x, y);
    return {
      kind: 'bench',
      bench: bench.name,
      x_mm: Math.round(Math.min(Math.max(x_mm, from_mm), to_mm)),
      y_mm: Math.round(Math.min(Math.max(y_mm, 0), bench.depth_mm)),
    };
  }
  const whole = layout.pieces[0];
  if (!whole || layout.pieces.some((piece) => piece.isCutLeft || piece.isCutRight)) return undefined;
  const [x_mm, y_mm] = unproject(whole, layout.scale, x, y);
  return { kind: 'ground', x_mm: whole.bench.x_mm + x_mm, y_mm: whole.bench.y_mm + y_mm };
}
