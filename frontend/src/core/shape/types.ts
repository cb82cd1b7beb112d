/** What the Shape room knows of a tree, as plain values: the trunk by its nodes, and each segment's way to it. */

/** The trunk from the soil up, and what leaves it at each node; the arrays up to `right_mm` have one value a node. */
export interface CutLine {
  /** Way along the trunk from the soil. */
  along_mm: readonly number[];
  x_mm: readonly number[];
  y_mm: readonly number[];
  z_mm: readonly number[];
  diameter_mm: readonly number[];
  girth_mm: readonly number[];
  /** Tips of what leaves the trunk at the node; the last node is the trunk's own tip. */
  tips: readonly number[];
  /** Highest, leftmost and rightmost place of what leaves there; null where nothing does. */
  top_mm: readonly (number | null)[];
  left_mm: readonly (number | null)[];
  right_mm: readonly (number | null)[];
  /** The segments of the trunk in order; the k-th lies between node k and node k + 1. */
  trunk_rows: readonly number[];
  /** For each segment the node from which it comes: of the trunk its lower one. */
  node: readonly number[];
  /** For each segment its place in the list of branches; -1 on the trunk and its small shoots. */
  branch: readonly number[];
  /** Above the flare. */
  base_girth_mm: number;
}

/** Where a branch of the list leaves the trunk. */
export interface BranchPlace {
  along_mm: number;
}

/** What lies on one side of a cut. */
export interface Side {
  height_mm: number;
  /** Of the trunk at the lower end: at the base, or at the cut. */
  girth_mm: number;
  /** Height for one of girth; null where the girth is nothing. */
  height_to_girth: number | null;
  /** As seen from the front. */
  width_mm: number;
  branches: number;
  tips: number;
}

export interface ReadOut {
  along_mm: number;
  /** The place of the cut: above the soil, and how thick the trunk is there. */
  z_mm: number;
  diameter_mm: number;
  girth_mm: number;
  above: Side;
  below: Side;
}

export type Vector = readonly [number, number, number];
