/** A place of the tree that is shown in the drawing: a wound, a fault. */
export interface Pointed {
  /** Name of its why, by which it is known. */
  why: string;
  at_mm: readonly number[];
  clock: number | null;
  /** Places of the branches concerned in the list of branches. */
  branches: readonly number[];
}
