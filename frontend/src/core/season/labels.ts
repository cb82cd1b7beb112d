/** Labels above the line: each on the lowest row on which it lies on no other label and crosses no leader. */

export interface Wanted<Thing> {
  thing: Thing;
  /** Where its leader stands. */
  x: number;
  /** Width of its name. */
  wide: number;
  /** Width of its name with its days, which are told where there is room. */
  wideFull: number;
}

export interface Placed<Thing> extends Wanted<Thing> {
  /** 0 is the row next to the line. */
  row: number;
  /** Which end of the text stands at the leader. */
  anchor: 'start' | 'end';
  from: number;
  to: number;
  /** Whether its days are told too. */
  full: boolean;
}

const GAP = 8; // between two labels of a row
const CLEAR = 3; // between a label and the leader of another

/**
 * Places labels from the last to the first, so that a row of stages in spring becomes a stair; then those that have
 * room tell their days too. What finds no place in `mostRows` is left out.
 */
export function placedAbove<Thing>(
  wanted: readonly Wanted<Thing>[],
  width: number,
  mostRows: number,
): Placed<Thing>[] {
  const placed: Placed<Thing>[] = [];
  for (const each of [...wanted].sort((a, b) => b.x - a.x)) {
    const found = firstFree(each, placed, width, mostRows);
    if (found) placed.push(found);
  }
  placed.forEach((label, i) => {
    const longer = laid(label, label.row, label.anchor, true);
    if (isFree(longer, [...placed.slice(0, i), ...placed.slice(i + 1)], width)) placed[i] = longer;
  });
  return placed.sort((a, b) => a.x - b.x);
}

function laid<Thing>(
  each: Wanted<Thing>,
  row: number,
  anchor: 'start' | 'end',
  full: boolean,
): Placed<Thing> {
  const wide = full ? each.wideFull : each.wide;
  const from = anchor === 'start' ? each.x : each.x - wide;
  return { ...each, row, anchor, full, from, to: from + wide };
}

function firstFree<Thing>(
  each: Wanted<Thing>,
  placed: readonly Placed<Thing>[],
  width: number,
  mostRows: number,
): Placed<Thing> | undefined {
  for (const anchor of ['start', 'end'] as const) {
    for (let row = 0; row < mostRows; row += 1) {
      const tried = laid(each, row, anchor, false);
      if (isFree(tried, placed, width)) return tried;
    }
  }
  return undefined;
}

function isFree(label: Placed<unknown>, others: readonly Placed<unknown>[], width: number): boolean {
  return label.from >= 0 && label.to <= width && others.every((other) => isClear(label, other));
}

function isClear(a: Placed<unknown>, b: Placed<unknown>): boolean {
  if (a.row === b.row) return a.from >= b.to + GAP || b.from >= a.to + GAP;
  const [low, high] = a.row < b.row ? [a, b] : [b, a];
  // the leader of the higher one passes the lower one's row
  return high.x < low.from - CLEAR || high.x > low.to + CLEAR;
}

/** Where the name of a band stands: before it, after it, or above where neither has room. */
export function nameSide(
  from: number,
  to: number,
  wide: number,
  width: number,
): 'before' | 'after' | 'above' {
  if (from >= wide + GAP) return 'before';
  return width - to >= wide + GAP ? 'after' : 'above';
}
