/** The deeds of the yard: each is one step, said with the way to take it back. */

import { ask, type Schema } from '../../api/client';
import { deed } from '../../parts/notices.svelte';
import type { Bench } from './types';

/** Sets one tree on a spot. */
export function setDown(tree: string, place: string, x_mm: number, y_mm: number): Promise<unknown> {
  return deed(() =>
    ask('post', '/api/yard/move', {
      body: { trees: [tree], place, spots: { [tree]: [x_mm, y_mm] }, date: '' },
    }),
  );
}

/** Carries trees to a place; they stand there in a row where it is free. */
export function carry(trees: string[], place: string): Promise<Schema<'Done'> | undefined> {
  return deed(() => ask('post', '/api/yard/move', { body: { trees, place, spots: {}, date: '' } }));
}

/** Sets a place in the plan, or sizes it. */
export function setBench(
  bench: Pick<Bench, 'name' | 'kind' | 'x_mm' | 'y_mm' | 'length_mm' | 'depth_mm'>,
  onTrouble?: (wrong: unknown) => void,
): Promise<Schema<'Done'> | undefined> {
  const { name, kind, x_mm, y_mm, length_mm, depth_mm } = bench;
  return deed(
    () =>
      ask('put', '/api/yard/benches/{name}', {
        path: { name },
        body: { name, kind, x_mm, y_mm, length_mm, depth_mm },
      }),
    ...(onTrouble ? [onTrouble] : []),
  );
}
