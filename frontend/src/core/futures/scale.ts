/** One scale for all trees of a turning: the same millimetre is as long under every course and in every year. */

export interface Spread {
  readonly left_mm: number;
  readonly right_mm: number;
  readonly top_mm: number;
}

export interface Frame {
  readonly px_per_mm: number;
  /** From the top of the drawing down to the soil, in px. */
  readonly soil: number;
  readonly width: number;
  readonly height: number;
}

export interface Pot {
  readonly length_mm: number;
  readonly depth_mm: number;
  readonly shape?: string;
}

const BARS_mm = [10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000];
const STRAIGHT = new Set(['rectangle', 'hexagon', 'octagon']);

/** The frame in which every tree and every pot fits: as wide as its column, as high as is left to it. */
export function frameOf(
  trees: readonly Spread[],
  pots: readonly Pot[],
  room: { width: number; tallest: number; above: number; below: number },
): Frame {
  const top = Math.max(1, ...trees.map(({ top_mm }) => top_mm));
  const half = Math.max(
    1,
    ...pots.map(({ length_mm }) => length_mm / 2),
    ...trees.map(({ left_mm, right_mm }) => Math.max(-left_mm, right_mm)),
  );
  const px_per_mm = Math.min(room.tallest / top, room.width / 2 / half);
  const soil = room.above + top * px_per_mm;
  const deep = Math.max(0, ...pots.map(({ depth_mm }) => depth_mm));
  return { px_per_mm, soil, width: room.width, height: soil + deep * px_per_mm + room.below };
}

/** A frame for one tree that stands by itself below others: their scale, no more room than it takes. */
export function ownFrame(
  frame: Frame,
  { top_mm }: Spread,
  room: { above: number; below: number },
  pot: Pot | null = null,
): Frame {
  const soil = room.above + top_mm * frame.px_per_mm;
  return { ...frame, soil, height: soil + (pot?.depth_mm ?? 0) * frame.px_per_mm + room.below };
}

/** The longest round length that takes at most a third of the width. */
export function barOf({ px_per_mm, width }: Frame): number {
  return BARS_mm.findLast((bar) => bar * px_per_mm <= width / 3) ?? BARS_mm[0]!;
}

const one = (value: number): string => String(Math.round(value * 10) / 10);

/** A pot from the front in px around the foot of the trunk: a lip at the soil, walls that draw in, two feet. */
export function potPath(pot: Pot, px_per_mm: number): string {
  const half = (pot.length_mm / 2) * px_per_mm;
  const deep = pot.depth_mm * px_per_mm;
  const lip = Math.min(5, deep / 4);
  // drawing only: how its walls draw in is not recorded in section
  const inwards = half * (STRAIGHT.has(pot.shape ?? '') ? 0.03 : 0.09);
  const wall = Math.max(half - Math.min(2, half / 8), 0);
  const foot = wall - inwards;
  const low = Math.min(4, deep / 5);
  const wide = Math.min(9, half / 6);
  const sides =
    `M${one(-half)} 0H${one(half)}V${one(lip)}H${one(-half)}Z` +
    `M${one(-wall)} ${one(lip)}Q${one(-wall)} ${one(lip + 0.7 * (deep - lip))} ${one(-foot)} ${one(deep)}` +
    `H${one(foot)}Q${one(wall)} ${one(lip + 0.7 * (deep - lip))} ${one(wall)} ${one(lip)}`;
  const feet = [-1, 1].map((side) => {
    const at = side * half * 0.72;
    return `M${one(at - wide)} ${one(deep)}L${one(at - wide * 0.8)} ${one(deep + low)}H${one(at + wide * 0.8)}L${one(at + wide)} ${one(deep)}`;
  });
  return sides + feet.join('');
}

/** Open ground: short strokes below the soil line, as on a drawing in section. */
export function groundPath(width: number, soil: number, inset: number): string {
  const strokes: string[] = [];
  for (let x = inset + 4; x < width - inset - 4; x += 11) strokes.push(`M${one(x)} ${one(soil + 9)}l7-8`);
  return strokes.join('');
}
