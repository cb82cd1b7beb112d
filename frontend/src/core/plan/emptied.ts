/** Places whose last tree was carried away: the server tells of a place while a tree stands there or it was sized. */

import type { PlanBench } from './types';

/**
 * The places that lately lost their last tree, as they were when they had one.
 *
 * `before` is the plan last seen and `known` what was told then; what has come back into the plan is no longer among
 * them. A place that was added without a tree and taken back is not, either.
 */
export function emptied<B extends PlanBench>(
  known: readonly B[],
  before: readonly B[],
  now: readonly B[],
): B[] {
  const there = new Set(now.map((bench) => bench.name));
  const lost = before
    .filter((bench) => bench.name !== '' && bench.spots.length > 0)
    .map((bench) => ({ ...bench, spots: [] }));
  const all = new Map([...known, ...lost].map((bench) => [bench.name, bench]));
  return [...all.values()].filter((bench) => !there.has(bench.name));
}
