/** How much of the tree is drawn: light while anything moves, all of it when it has come to rest. */

export type Detail = 'light' | 'full';

/** So long after the last frame in which it moved it has come to rest. */
export const REST_ms = 150;
export const MOST_PIXEL_RATIO = 1.5;

/** What is drawn now; what has not come yet is stood in for by the other. */
export function detailNow(isMoving: boolean, here: Readonly<Record<Detail, boolean>>): Detail | null {
  const wanted: Detail = isMoving ? 'light' : 'full';
  if (here[wanted]) return wanted;
  const other: Detail = isMoving ? 'full' : 'light';
  return here[other] ? other : null;
}

/** Pixels of the canvas for one of the page: no more than the eye needs. */
export function pixelRatio(device: number): number {
  return Math.min(Math.max(1, device || 1), MOST_PIXEL_RATIO);
}
