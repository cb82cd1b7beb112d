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
  /** On the line at the top, at this radius. */
  radius: number;
  /** How wide its text is, in drawing units. */
  wide: number;
}

export interface PlacedLabel {
  label: number;
  side: 'left' | 'right';
}

/**
 * Labels along the line at the top: all on the side where fewer marks are in their way; one that is in the way of a
 * mark there goes to the other side, and is left out where both are taken.
 */
export function placedLabels(
  wanted: readonly Wanted[],
  marks: readonly { x: number; y: number }[],
  high: number,
  reach: number,
): PlacedLabel[] {
  const boxOf = ({ radius, wide }: Wanted, side: 'left' | 'right'): Box => ({
    left: side === 'left' ? -wide - reach : 0,
    right: side === 'left' ? 0 : wide + reach,
    top: -radius - high * 0.5,
    bottom: -radius + high * 0.5,
  });
  const isFree = (box: Box) =>
    !marks.some(({ x, y }) =>
      meet(box, { left: x - reach, right: x + reach, top: y - reach, bottom: y + reach }),
    );
  const free = (side: 'left' | 'right') => wanted.filter((each) => isFree(boxOf(each, side))).length;
  const near = free('left') >= free('right') ? 'left' : 'right';
  const far = near === 'left' ? 'right' : 'left';
  return wanted.flatMap((each): PlacedLabel[] => {
    if (isFree(boxOf(each, near))) return [{ label: each.label, side: near }];
    if (isFree(boxOf(each, far))) return [{ label: each.label, side: far }];
    return [];
  });
}

/** Where a word on the rim stands: its middle is drawn in so that it stays on the sheet. */
export function onRim(frac: number, radius: number, wide: number, edge = 498): [number, number] {
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

export interface NamePath {
  path: string;
  anchor: 'start' | 'middle' | 'end';
}

/**
 * Where the name of a window runs: on its arc where that is long enough beside the hand, else after it, else before
 * it; never across the hand, and never into a window of its lane. Null where there is no room; the list has it.
 */
export function namePath(
  arc: WindowArc,
  textLength: number,
  hand: number,
  others: readonly WindowArc[],
): NamePath | null {
  const long = (textLength / (2 * Math.PI * arc.radius)) * 1.06;
  const gap = 0.012;
  const spans: [number, number][] = [];
  const onArc: [number, number][] =
    hand > arc.from && hand < arc.to
      ? [
          [hand + gap, arc.to],
          [arc.from, hand - gap],
        ]
      : [[arc.from, arc.to]];
  for (const [from, to] of onArc) {
    if (to - from >= long) spans.push([(from + to - long) / 2, (from + to + long) / 2]);
  }
  spans.push([arc.to + gap / 2, arc.to + gap / 2 + long], [arc.from - gap / 2 - long, arc.from - gap / 2]);
  const isOnArc = (span: readonly [number, number]) => span[0] >= arc.from && span[1] <= arc.to;
  const lane = others.filter((other) => other !== arc && other.lane === arc.lane);
  const found = spans.find((span) => {
    const turns = [-1, 0, 1];
    const onHand = turns.some((turn) => hand + turn > span[0] - gap && hand + turn < span[1] + gap);
    const onOther = turns.some((turn) =>
      lane.some((other) => other.from + turn < span[1] && other.to + turn > span[0]),
    );
    return !onHand && !onOther;
  });
  if (!found) return null;
  const below = isBelow((found[0] + found[1]) / 2);
  if (isOnArc(found)) return { path: arcPath(found[0], found[1], arc.radius, below), anchor: 'middle' };
  const isAfter = found[0] >= arc.to;
  return {
    path: arcPath(found[0], found[1], arc.radius, below),
    anchor: isAfter === !below ? 'start' : 'end',
  };
}
