/** What a hand does on the drawing: one finger turns, two draw nearer and move, a tap picks, the wheel draws nearer. */

export interface Hand {
  turn: (across_px: number, down_px: number) => void;
  nearer: (factor: number, place_px: readonly [number, number]) => void;
  move: (across_px: number, down_px: number) => void;
  tap: (across_px: number, down_px: number) => void;
}

const TAP_px = 6;
const WHEEL_px = 500; // so far a wheel turns for a factor of e

/** Follows the hand on an element; returns what ends it. */
export function followHand(place: HTMLElement, hand: Hand): () => void {
  const down = new Map<number, { x: number; y: number }>();
  let way = 0;

  const pressed = (event: PointerEvent): void => {
    if (event.button !== 0) return;
    down.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (down.size === 1) way = 0;
    place.setPointerCapture(event.pointerId);
  };
  const dragged = (event: PointerEvent): void => {
    const before = down.get(event.pointerId);
    if (!before) return;
    const [dx, dy] = [event.clientX - before.x, event.clientY - before.y];
    way += Math.hypot(dx, dy);
    if (down.size === 2) pinched(event, before);
    else if (way > TAP_px && event.shiftKey) hand.move(dx, dy);
    else if (way > TAP_px) hand.turn(dx, dy);
    down.set(event.pointerId, { x: event.clientX, y: event.clientY });
  };
  const pinched = (event: PointerEvent, before: { x: number; y: number }): void => {
    const other = [...down].find(([id]) => id !== event.pointerId)?.[1];
    if (!other) return;
    const apart = (point: { x: number; y: number }) => Math.hypot(point.x - other.x, point.y - other.y);
    const now = { x: event.clientX, y: event.clientY };
    const box = place.getBoundingClientRect();
    const middle = [(now.x + other.x) / 2 - box.left, (now.y + other.y) / 2 - box.top] as const;
    hand.move((now.x - before.x) / 2, (now.y - before.y) / 2);
    if (apart(before) > 8) hand.nearer(apart(now) / apart(before), middle);
  };
  const lifted = (event: PointerEvent): void => {
    if (!down.delete(event.pointerId)) return;
    if (event.type === 'pointerup' && down.size === 0 && way <= TAP_px) {
      const box = place.getBoundingClientRect();
      hand.tap(event.clientX - box.left, event.clientY - box.top);
    }
  };
  // a page is scrolled past the drawing; the wheel is the drawing's where it has the focus, or with Ctrl as in a map
  const wheeled = (event: WheelEvent): void => {
    if (!event.ctrlKey && !event.metaKey && document.activeElement !== place) return;
    event.preventDefault();
    const box = place.getBoundingClientRect();
    hand.nearer(Math.exp(-event.deltaY / WHEEL_px), [event.clientX - box.left, event.clientY - box.top]);
  };

  place.addEventListener('pointerdown', pressed);
  place.addEventListener('pointermove', dragged);
  place.addEventListener('pointerup', lifted);
  place.addEventListener('pointercancel', lifted);
  place.addEventListener('wheel', wheeled, { passive: false });
  return () => {
    place.removeEventListener('pointerdown', pressed);
    place.removeEventListener('pointermove', dragged);
    place.removeEventListener('pointerup', lifted);
    place.removeEventListener('pointercancel', lifted);
    place.removeEventListener('wheel', wheeled);
  };
}
