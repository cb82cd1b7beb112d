/** Where the words of the dial stand, so that none lies on another, on a mark or on today's hand. */

import { arcPath, at, isBelow } from './geometry';
import type { WindowArc } from './marks';

export interface Box {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

export function meet(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

export interface Wanted {
  label: number;
  /** Just inside the ring that it names, on the line at the top. */
  radius: number;
  /** How wide its text is, in drawing units. */
  wide: number;
}

export interface PlacedLabel {
  label: number;
  side: 'left' | 'right';
  /** How far it stands below its place. */
  down: number;
}

/**
 * Labels along the line at the top: all on the side where fewer marks are in their way; one that is in the way of a
 * mark there goes to the other side, and is left out where both are taken. The last, which is the girth of today,
 * rather stands off the line.
 */
export function placedLabels(
  wanted: readonly Wanted[],
  marks: readonly { x: number; y: number }[],
  high: number,
  reach: number,
): PlacedLabel[] {
  const boxOf = ({ radius, wide }: Wanted, side: 'left' | 'right', down = 0): Box => ({
    left: side === 'left' ? -wide - reach : 0,
    right: side === 'left' ? 0 : wide + reach,
    top: -radius + down,
    bottom: -radius + down + high,
  });
  const isFree = (box: Box) =>
    !marks.some(({ x, y }) =>
      meet(box, { left: x - reach, right: x + reach, top: y - reach, bottom: y + reach }),
    );
  const free = (side: 'left' | 'right') => wanted.filter((each) => isFree(boxOf(each, side))).length;
  const sides: readonly ('left' | 'right')[] =
    free('left') >= free('right') ? ['left', 'right'] : ['right', 'left'];
  const placed: PlacedLabel[] = [];
  const taken: Box[] = [];
  wanted.forEach((each, i) => {
    const ways = i === wanted.length - 1 ? [0, 0.25, 0.5, 0.75, 1, 1.25, 1.5] : [0];
    for (const down of ways.map((way) => way * high)) {
      for (const side of sides) {
        const box = boxOf(each, side, down);
        if (!isFree(box) || taken.some((other) => meet(box, other))) continue;
        placed.push({ label: each.label, side, down });
        taken.push(box);
        return;
      }
    }
  });
  return placed;
}

/** Where a word on the rim stands: its middle is drawn in so that it stays on the sheet. */
export function onRim(frac: number, radius: number, wide: number, edge = 514): [number, number] {
  const [x, y] = at(frac, radius);
  const most = edge - wide / 2;
  return [Math.min(most, Math.max(-most, x)), y];
}

/** Months that keep clear of another word on the rim. */
export function clearOf<Word extends { frac: number; wide: number }>(
  words: readonly Word[],
  other: { frac: number; wide: number },
  radius: number,
  high: number,
): Word[] {
  const boxAt = (frac: number, wide: number): Box => {
    const [x, y] = onRim(frac, radius, wide);
    return { left: x - wide / 2, right: x + wide / 2, top: y - high / 2, bottom: y + high / 2 };
  };
  const kept = boxAt(other.frac, other.wide * 1.12);
  return words.filter((word) => !meet(kept, boxAt(word.frac, word.wide)));
}

export interface PlacedName {
  arc: WindowArc;
  path: string;
  anchor: 'start' | 'middle' | 'end';
}

/** A piece of the bark: shares of the year and radii. */
interface Piece {
  from: number;
  to: number;
  low: number;
  high: number;
}

function collide(a: Piece, b: Piece): boolean {
  if (a.low >= b.high || b.low >= a.high) return false;
  return [-1, 0, 1].some((turn) => a.from < b.to + turn && b.from + turn < a.to);
}

/**
 * Where the names of windows run: each on its arc where that is long enough beside the hand, else after it, else
 * before it; never across the hand, a mark, another window or another name. A name without room is left out; the
 * window is told when it is tapped, and in the list.
 */
export function placedNames(
  arcs: readonly WindowArc[],
  longOf: (arc: WindowArc) => number,
  high: number,
  hand: number,
  marks: readonly { angle: number; radius: number }[],
  size: number,
): PlacedName[] {
  const gap = 0.012;
  const lettersHigh = high * 0.72; // letters without their tails
  const taken: Piece[] = marks.map(({ angle, radius }) => {
    const half = size / (2 * Math.PI * Math.max(radius, 1));
    const frac = angle / 360;
    return { from: frac - half, to: frac + half, low: radius - size, high: radius + size };
  });
  taken.push({ from: hand - gap, to: hand + gap, low: 0, high: Number.POSITIVE_INFINITY });
  const arcPiece = (arc: WindowArc): Piece => ({
    from: arc.from,
    to: arc.to,
    low: arc.radius - arc.height / 2,
    high: arc.radius + arc.height / 2,
  });
  const names: PlacedName[] = [];
  for (const arc of arcs) {
    const long = (longOf(arc) / (2 * Math.PI * arc.radius)) * 1.06;
    const pieceOf = (from: number): Piece => ({
      from,
      to: from + long,
      low: arc.radius - lettersHigh / 2,
      high: arc.radius + lettersHigh / 2,
    });
    const others = arcs.filter((other) => other !== arc).map(arcPiece);
    const wanted: number[] = [];
    if (arc.to - arc.from >= long) {
      for (const share of [0.5, 0.75, 0.25, 1, 0]) wanted.push(arc.from + (arc.to - arc.from - long) * share);
    }
    const onArc = wanted.length;
    wanted.push(arc.to + gap / 2, arc.from - gap / 2 - long);
    const found = wanted.findIndex((from) => {
      const piece = pieceOf(from);
      return !taken.some((other) => collide(piece, other)) && !others.some((other) => collide(piece, other));
    });
    if (found < 0) continue;
    const piece = pieceOf(wanted[found]!);
    taken.push(piece);
    const below = isBelow((piece.from + piece.to) / 2);
    const isAfter = found === onArc;
    names.push({
      arc,
      path: arcPath(piece.from, piece.to, arc.radius, below),
      anchor: found < onArc ? 'middle' : isAfter === !below ? 'start' : 'end',
    });
  }
  return names;
}
