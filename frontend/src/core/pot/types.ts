/** What the drawing of a cut through a pot needs to know; all lengths in millimetres. */

export interface Layer {
  height_mm: number;
  low_v: number;
  median_v: number;
  high_v: number;
}

export interface CutValues {
  length_mm: number;
  bottom_length_mm: number | null;
  depth_mm: number;
  wall_mm: number;
  fill_floor_mm: number;
  fill_height_mm: number;
  dressing_mm: number;
  tilt_deg: number;
  trunk_mm: number | null;
  ball: { length_mm: number; depth_mm: number } | null;
  hollow: { radius_mm: number; depth_mm: number } | null;
  holes: readonly { x_mm: number; diameter_mm: number; mesh_mm: number }[];
  ties: readonly { first_mm: number; second_mm: number }[];
  bar: boolean;
  layers: readonly Layer[];
  saturated: { low_mm: number; median_mm: number; high_mm: number };
}

export type Point = readonly [x: number, y: number];

/** Edges of a drawing, x to the right and y upward, in millimetres. */
export interface Box {
  left: number;
  right: number;
  bottom: number;
  top: number;
}
