/** Laying one photo on another: the server's matrix is in widths of the reference, CSS wants pixels on screen. */

export type Point = readonly [number, number];

/**
 * The CSS matrix that lays a photo, drawn into a box as wide as the reference, on the reference. The server's
 * `a b c d e f` moves points that are counted in widths of each photo; turning and growing have no unit, only the
 * shift is in widths. A photo drawn as wide as the reference has the same width on screen, so only e and f grow.
 */
export function cssMatrix(matrix: readonly number[], width_px: number): string {
  const [a = 1, b = 0, c = 0, d = 1, e = 0, f = 0] = matrix;
  return `matrix(${[a, b, c, d, e * width_px, f * width_px].map((value) => +value.toFixed(6)).join(', ')})`;
}

/** Where a tap lies in a picture, as shares across and down, before any mirroring; null outside of it. */
export function sharesOf(
  tap: { clientX: number; clientY: number },
  box: { left: number; top: number; width: number; height: number },
  isMirrored: boolean,
): Point | null {
  const x = (tap.clientX - box.left) / box.width;
  const y = (tap.clientY - box.top) / box.height;
  if (!(x >= 0 && x <= 1 && y >= 0 && y <= 1)) return null;
  const round = (value: number) => Math.round(value * 1e4) / 1e4;
  return [round(isMirrored ? 1 - x : x), round(y)];
}

/** Years between two photos of a side that have none: "2023 to 2025" is a gap of the years between. */
export function gapOf(earlier: string | null, later: string | null): number[] {
  if (earlier === null || later === null) return [];
  const [from, to] = [Number(earlier.slice(0, 4)), Number(later.slice(0, 4))];
  return Array.from({ length: Math.max(0, to - from - 1) }, (_, i) => from + 1 + i);
}
