/** The yard as the plan draws it: places seen from above, in mm; the names are those of the server's answer. */

export interface PlanSpot {
  tree: string;
  name: string;
  /** From the left end of the place to the trunk. */
  x_mm: number;
  /** From its front edge to the trunk. */
  y_mm: number;
  width_mm: number;
  height_mm: number;
  pot_length_mm: number | null;
  pot_depth_mm: number | null;
  state: 'open' | 'soon' | 'blocked' | 'quiet';
}

export interface PlanBench<S extends PlanSpot = PlanSpot> {
  name: string;
  x_mm: number;
  /** Away from the viewer. */
  y_mm: number;
  length_mm: number;
  depth_mm: number;
  spots: S[];
}

/** A polygon to fill (width 0) or a line to draw; points are x, y pairs in mm, y up from the soil. */
export interface PlanStroke {
  points: number[];
  width_mm: number;
  tone: 'wood' | 'crown';
}

/** A rectangle on the drawing, in px. */
export interface Box {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

export function overlaps(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}
