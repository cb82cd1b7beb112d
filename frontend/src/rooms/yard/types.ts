/** What the parts of the yard's room hand to each other. */

import type { Schema } from '../../api/client';
import type { Box } from '../../core/plan/types';

export type Plan = Schema<'Plan'>;
export type Bench = Schema<'Bench'>;
export type Spot = Schema<'Spot'>;

/** What is carried: trees, one by one or all of a bench; with a place chosen already or still to be chosen. */
export interface Carry {
  trees: string[];
  names: string[];
  /** Where they stand now; blank where they stand in several places. */
  from: string;
}

/** The name of a place on the drawing, and what it covers. */
export interface Plate {
  box: Box;
  name: string;
  kind: string;
}
