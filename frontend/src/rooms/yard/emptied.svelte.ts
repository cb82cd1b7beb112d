/** The places emptied since the app was opened; they outlive a walk through other rooms, not a reload. */

import { emptied } from '../../core/plan/emptied';
import type { Bench, Plan } from './types';

let seen: Plan | undefined;
let places = $state.raw<Bench[]>([]);

/** The places without a tree that the plan no longer has. */
export function emptyPlaces(): readonly Bench[] {
  return places;
}

/** Compares a plan with the one before. */
export function followPlan(plan: Plan): void {
  if (plan === seen) return;
  places = emptied(places, seen?.benches ?? [], plan.benches);
  seen = plan;
}
