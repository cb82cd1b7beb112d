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
}

const BARS_mm = [10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000];

/** The frame in which every tree fits: as wide as its column, as high as is left to it. */
export function frameOf(
  trees: readonly Spread[],
  pot: Pot | null,
  room: { width: number; tallest: number; above: number; below: number },
): Frame {
  const top = Math.max(1, ...trees.map(({ top_mm }) => top_mm));
  const half = Math.max(
    1,
    (pot?.length_mm ?? 0) / 2,
    ...trees.map(({ left_mm, right_mm }) => Math.max(-left_mm, right_mm)),
  );
  const px_per_mm = Math.min(room.tallest / top, room.width / 2 / half);
  const soil = room.above + top * px_per_mm;
  return {
    px_per_mm,
    soil,
    width: room.width,
    height: soil + (pot?.depth_mm ?? 0) * px_per_mm + room.below,
  };
}

/** The longest round length that takes at most a third of the width. */
export function barOf({ px_per_mm, width }: Frame): number {
  return BARS_mm.findLast((bar) => bar * px_per_mm <= width / 3) ?? BARS_mm[0]!;
}

/** A pot from the front, its rim at the soil, in px around the foot of the trunk. */
export function potPath(pot: Pot, px_per_mm: number): string {
  const rim = (pot.length_mm / 2) * px_per_mm;
  const foot = rim * 0.88; // drawing only: its shape is not recorded in section
  const deep = pot.depth_mm * px_per_mm;
  const one = (value: number): string => String(Math.round(value * 10) / 10);
  return `M${one(-rim)} 0L${one(-foot)} ${one(deep)}H${one(foot)}L${one(rim)} 0`;
}
