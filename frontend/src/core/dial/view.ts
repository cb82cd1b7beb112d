/** Which part of the dial is on screen: a square in drawing units. */

export interface View {
  x: number;
  y: number;
  size: number;
}

const EDGE = 516; // beyond the rim there is room for the names of the months
export const WHOLE: View = { x: -EDGE, y: -EDGE, size: 2 * EDGE };
const CLOSEST = 60; // a sixteenth: single rings of a sixty-year tree part

function kept(view: View): View {
  const size = Math.min(WHOLE.size, Math.max(CLOSEST, view.size));
  const most = EDGE - size;
  return {
    size,
    x: Math.min(Math.max(view.x, -EDGE), most),
    y: Math.min(Math.max(view.y, -EDGE), most),
  };
}

/** Nearer (factor above 1) or farther, with one point of the drawing staying where it is. */
export function zoomedAt(view: View, factor: number, x: number, y: number): View {
  const size = Math.min(WHOLE.size, Math.max(CLOSEST, view.size / factor));
  const share = size / view.size;
  return kept({ size, x: x - (x - view.x) * share, y: y - (y - view.y) * share });
}

/** Nearer or farther about the middle of what is seen. */
export function stepped(view: View, factor: number): View {
  return zoomedAt(view, factor, view.x + view.size / 2, view.y + view.size / 2);
}

/** The drawing moved under the finger. */
export function dragged(view: View, dx: number, dy: number): View {
  return kept({ ...view, x: view.x - dx, y: view.y - dy });
}

/** One of two fingers moved from one point to another; the other holds still. */
export function pinched(
  view: View,
  from: readonly [number, number],
  to: readonly [number, number],
  still: readonly [number, number],
): View {
  const before = Math.hypot(from[0] - still[0], from[1] - still[1]);
  const after = Math.hypot(to[0] - still[0], to[1] - still[1]);
  if (before < 1e-6) return view;
  return zoomedAt(view, Math.max(after, 1e-6) / before, still[0], still[1]);
}
