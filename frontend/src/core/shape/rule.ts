/** Rules and bars true to scale: which marks, and how long a bar, in the reader's units. */

import { INCH_mm } from '../lengths';
import type { Units } from '../units';

const STEPS_mm = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000];
const STEPS_in = [0.25, 0.5, 1, 2, 6, 12, 24, 60, 120].map((inches) => inches * INCH_mm);

/** The shortest step of a tape that is at least so many px. */
export function stepOf(mm_per_px: number, least_px: number, units: Units): number {
  const steps = units === 'metric' ? STEPS_mm : STEPS_in;
  return steps.find((step) => step / mm_per_px >= least_px) ?? steps[steps.length - 1]!;
}

/** Marks of a rule from the soil to the top, both among them where they are no nearer than a step. */
export function marksTo(top_mm: number, step_mm: number): number[] {
  const count = Math.floor(top_mm / step_mm + 1e-9);
  return Array.from({ length: count + 1 }, (_each, index) => index * step_mm);
}
