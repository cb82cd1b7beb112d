/**
 * Where the tree is seen from. The house's axes: x right, y to the back, z up; the front view looks along +y, so that
 * six o'clock is before the tree and three o'clock to its right.
 */

import type { Vector } from './types';

/** A view without perspective: what lies in a plane across it is drawn to one scale. */
export interface View {
  /** From where: 6 is the front, 3 the right, 12 the back, 9 the left. */
  clock: number;
  /** Above the level; 90 looks straight down. */
  elevation_deg: number;
  /** 1 shows the whole tree. */
  zoom: number;
  /** What is in the middle of the picture, moved off the middle of the tree, across and up. */
  across_mm: number;
  up_mm: number;
}

export const FRONT: View = { clock: 6, elevation_deg: 0, zoom: 1, across_mm: 0, up_mm: 0 };

export const SIDES = [
  { key: 'front', clock: 6, elevation_deg: 0 },
  { key: 'right', clock: 3, elevation_deg: 0 },
  { key: 'back', clock: 12, elevation_deg: 0 },
  { key: 'left', clock: 9, elevation_deg: 0 },
  { key: 'above', clock: 6, elevation_deg: 90 },
] as const;

export type SideKey = (typeof SIDES)[number]['key'];

const MOST_ZOOM = 12;
const LEAST_ZOOM = 0.5;
const LOWEST_deg = -20;
const HIGHEST_deg = 90;

/** The axes of a view as unit vectors: to the right of the picture, up in it, and out of it to the eye. */
export function axesOf(view: Pick<View, 'clock' | 'elevation_deg'>): {
  right: Vector;
  up: Vector;
  eye: Vector;
} {
  const turn = (view.clock / 12) * 2 * Math.PI;
  const rise = (view.elevation_deg / 180) * Math.PI;
  const [out_x, out_y] = [Math.sin(turn), Math.cos(turn)]; // from the trunk to the hour on the dial
  const [level, high] = [Math.cos(rise), Math.sin(rise)];
  return {
    right: [-out_y, out_x, 0].map(clean) as unknown as Vector,
    up: [-out_x * high, -out_y * high, level].map(clean) as unknown as Vector,
    eye: [out_x * level, out_y * level, high].map(clean) as unknown as Vector,
  };
}

function clean(value: number): number {
  return Math.abs(value) < 1e-12 ? 0 : value;
}

export function dot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  return a[0]! * b[0]! + a[1]! * b[1]! + a[2]! * b[2]!;
}

/** What a tree takes up, in mm. */
export interface Box {
  left_mm: number;
  right_mm: number;
  front_mm: number;
  back_mm: number;
  low_mm: number;
  top_mm: number;
}

/** The picture: its size in px, its middle and how many mm a px is. */
export interface Frame {
  width_px: number;
  height_px: number;
  mm_per_px: number;
  middle: Vector;
}

const MARGIN_px = { across: 64, along: 36 };
const LEAST_SHARE = 0.1; // of a narrow picture is left free at either side

/** The frame that holds the tree whichever way it is turned, so that turning never changes the scale. */
export function frameOf(box: Box, view: View, size: { width_px: number; height_px: number }): Frame {
  const half_wide = Math.max(
    Math.hypot(box.left_mm, box.front_mm),
    Math.hypot(box.left_mm, box.back_mm),
    Math.hypot(box.right_mm, box.front_mm),
    Math.hypot(box.right_mm, box.back_mm),
    1,
  );
  const low = Math.min(0, box.low_mm);
  const room = {
    wide: Math.max(40, size.width_px - 2 * Math.min(MARGIN_px.across, LEAST_SHARE * size.width_px)),
    high: Math.max(40, size.height_px - 2 * MARGIN_px.along),
  };
  const mm_per_px = Math.max((2 * half_wide) / room.wide, Math.max(1, box.top_mm - low) / room.high, 1e-3);
  const axes = axesOf(view);
  const whole = (low + box.top_mm) / 2;
  const middle = [0, 1, 2].map(
    (axis) => (axis === 2 ? whole : 0) + axes.right[axis]! * view.across_mm + axes.up[axis]! * view.up_mm,
  ) as unknown as Vector;
  return { ...size, mm_per_px: mm_per_px / view.zoom, middle };
}

/** Where a place of the tree lies in the picture, in px from its upper left. */
export function placed(point: ArrayLike<number>, view: View, frame: Frame): readonly [number, number] {
  const axes = axesOf(view);
  const away = [0, 1, 2].map((axis) => point[axis]! - frame.middle[axis]!);
  return [
    frame.width_px / 2 + dot(away, axes.right) / frame.mm_per_px,
    frame.height_px / 2 - dot(away, axes.up) / frame.mm_per_px,
  ];
}

/** The view turned by a drag: as if the tree were held by the near side of it. */
export function turned(view: View, across_px: number, down_px: number): View {
  const HALF_TURN_px = 360;
  const clock = (((view.clock + (across_px / HALF_TURN_px) * 6) % 12) + 12) % 12;
  const elevation_deg = within(view.elevation_deg + (down_px / HALF_TURN_px) * 180, LOWEST_deg, HIGHEST_deg);
  return { ...view, clock: clock === 0 ? 12 : clock, elevation_deg };
}

/** The view drawn nearer by a factor, what lies under a place of the picture staying there. */
export function nearer(view: View, factor: number, frame: Frame, place_px: readonly [number, number]): View {
  const zoom = within(view.zoom * factor, LEAST_ZOOM, MOST_ZOOM);
  const gain = frame.mm_per_px * (1 - view.zoom / zoom);
  return {
    ...view,
    zoom,
    across_mm: view.across_mm + (place_px[0] - frame.width_px / 2) * gain,
    up_mm: view.up_mm - (place_px[1] - frame.height_px / 2) * gain,
  };
}

/** The view moved along with a drag. */
export function moved(view: View, across_px: number, down_px: number, frame: Frame): View {
  return {
    ...view,
    across_mm: view.across_mm - across_px * frame.mm_per_px,
    up_mm: view.up_mm + down_px * frame.mm_per_px,
  };
}

function within(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, value));
}

/** The view on the way from one to another, the shorter way round; 0 begins, 1 is there. */
export function onTheWay(from: View, to: View, share: number): View {
  const mix = (a: number, b: number): number => a + (b - a) * share;
  const round = ((((to.clock - from.clock) % 12) + 18) % 12) - 6;
  const clock = (((from.clock + round * share) % 12) + 12) % 12;
  return {
    clock: share >= 1 ? to.clock : clock,
    elevation_deg: mix(from.elevation_deg, to.elevation_deg),
    zoom: mix(from.zoom, to.zoom),
    across_mm: mix(from.across_mm, to.across_mm),
    up_mm: mix(from.up_mm, to.up_mm),
  };
}

/** The plain side that a view is, if it is one. */
export function sideOf(view: View): SideKey | null {
  const found = SIDES.find(
    (side) => side.clock === view.clock && Math.abs(side.elevation_deg - view.elevation_deg) < 0.01,
  );
  return found?.key ?? null;
}
