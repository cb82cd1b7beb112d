/** How much of the tree is drawn: light while anything moves, all of it when it has come to rest. */

export type Detail = 'light' | 'full';

export const REST_ms = 150;
export const MOST_PIXEL_RATIO = 1.5;

/** What is drawn now; what has not come yet is stood in for by the other. */
export function detailNow(
  state: { moved_ms: number | null; now_ms: number },
  here: { light: boolean; full: boolean },
): Detail | null {
  const isAtRest = state.moved_ms === null || state.now_ms - state.moved_ms >= REST_ms;
  const wanted: Detail = isAtRest ? 'full' : 'light';
  if (here[wanted]) return wanted;
  const other: Detail = wanted === 'full' ? 'light' : 'full';
  return here[other] ? other : null;
}

/** Pixels of the canvas for one of the page: no more than the eye needs. */
export function pixelRatio(device: number): number {
  return Math.min(Math.max(1, device || 1), MOST_PIXEL_RATIO);
}
