/** Photographs behind the same view: how a camera's picture and a drawing with two marks come to lie under the tree. */

import { axesOf, placed, type Frame, type View } from './camera';
import type { Vector } from './types';

/** A calibrated camera: pixel centres at whole numbers, x right, y down; camera = R X + t, the world's z up. */
export interface PhotoCamera {
  k: readonly (readonly number[])[];
  r: readonly (readonly number[])[];
  t_mm: readonly number[];
  width_px: number;
  height_px: number;
}

/** A photo among those that can lie behind the tree: it may be there by its marks and by its camera. */
export function photoKey(photo: { entry: string; camera: unknown }): string {
  return `${photo.entry}${photo.camera ? ' camera' : ''}`;
}

/** Where a camera shows a place, in its pixels; the lens's bend is left out. */
export function shownBy(camera: PhotoCamera, point: ArrayLike<number>): readonly [number, number, number] {
  const seen = camera.r.map(
    (row, i) => row[0]! * point[0]! + row[1]! * point[1]! + row[2]! * point[2]! + camera.t_mm[i]!,
  );
  const flat = [seen[0]! / seen[2]!, seen[1]! / seen[2]!, 1];
  const pixel = camera.k.map((row) => row[0]! * flat[0]! + row[1]! * flat[1]! + row[2]! * flat[2]!);
  return [pixel[0]!, pixel[1]!, seen[2]!];
}

/**
 * The matrix (columns one after the other, as the graphics hardware takes them) from places of the tree to the
 * picture's own square, -1 to 1, y up: whole pixels lie in the middle of their little square.
 */
export function matrixOf(camera: PhotoCamera, near_mm: number, far_mm: number): number[] {
  const { width_px: wide, height_px: high } = camera;
  const [kx, ky] = [camera.k[0]!, camera.k[1]!];
  // rows of the matrix from camera places to the square: x w = 2 (u + 0.5) / wide - 1
  const fromCamera = [
    [(2 * kx[0]!) / wide, (2 * kx[1]!) / wide, (2 * (kx[2]! + 0.5)) / wide - 1, 0],
    [(-2 * ky[0]!) / high, (-2 * ky[1]!) / high, 1 - (2 * (ky[2]! + 0.5)) / high, 0],
    [0, 0, (far_mm + near_mm) / (far_mm - near_mm), (-2 * far_mm * near_mm) / (far_mm - near_mm)],
    [0, 0, 1, 0],
  ];
  const toCamera = [...camera.r.map((row, i) => [...row, camera.t_mm[i]!]), [0, 0, 0, 1]];
  const rows = fromCamera.map((row) =>
    [0, 1, 2, 3].map((column) => row.reduce((sum, value, i) => sum + value * toCamera[i]![column]!, 0)),
  );
  return [0, 1, 2, 3].flatMap((column) => rows.map((row) => row[column]!));
}

/** A place in the picture of a camera, in px of a box that shows the whole picture. */
export function inBox(
  camera: PhotoCamera,
  point: ArrayLike<number>,
  box: { left_px: number; top_px: number; width_px: number; height_px: number },
): readonly [number, number] {
  const [u, v] = shownBy(camera, point);
  return [
    box.left_px + ((u + 0.5) / camera.width_px) * box.width_px,
    box.top_px + ((v + 0.5) / camera.height_px) * box.height_px,
  ];
}

/** Where a picture lies on the page. */
export interface PhotoBox {
  left_px: number;
  top_px: number;
  width_px: number;
  height_px: number;
}

/** The largest box of a picture's proportions in the middle of another. */
export function fitted(
  picture: { width_px: number; height_px: number },
  room: { width_px: number; height_px: number },
): PhotoBox {
  const scale = Math.min(room.width_px / picture.width_px, room.height_px / picture.height_px);
  const [width_px, height_px] = [picture.width_px * scale, picture.height_px * scale];
  return {
    left_px: (room.width_px - width_px) / 2,
    top_px: (room.height_px - height_px) / 2,
    width_px,
    height_px,
  };
}

/**
 * The CSS matrix that lays a photo, drawn so many px wide, so that its first mark falls on the foot of the tree as it is
 * drawn and its second comes to lie as high as the apex. It stays upright, as it was taken: the way a trunk leans is
 * often not measured. Marks are in widths of the photo as it is shown.
 */
export function laidOnTree(
  marks: readonly (readonly [number, number])[],
  places: { foot: Vector; apex: Vector },
  view: View,
  frame: Frame,
  width_px: number,
): string | null {
  const [from, to] = marks;
  if (!from || !to) return null;
  const [foot, apex] = [placed(places.foot, view, frame), placed(places.apex, view, frame)];
  const high_px = (from[1] - to[1]) * width_px;
  if (!(high_px > 1)) return null;
  const scale = (foot[1] - apex[1]) / high_px;
  const shift = [foot[0] - scale * width_px * from[0], foot[1] - scale * width_px * from[1]];
  return `matrix(${[scale, 0, 0, scale, ...shift].map((value) => +value.toFixed(6)).join(', ')})`;
}

/** Whether a view looks at the tree as a photo of a side does. */
export function isSameSide(view: View, clock: number): boolean {
  const one = axesOf(view).eye;
  const other = axesOf({ clock, elevation_deg: 0 }).eye;
  return one.every((value, axis) => Math.abs(value - other[axis]!) < 1e-6);
}
