import type { Pot } from './scale';

interface Held {
  readonly pot: Pot | null;
  readonly courses: readonly { readonly cells: readonly { readonly pot?: Pot | null }[] }[];
}

/** Every pot that a result shows: the tree's own, and those into which a course moves it. */
export function potsOf({ pot, courses }: Held): Pot[] {
  const moved = courses.flatMap(({ cells }) => cells.map((cell) => cell.pot));
  return [pot, ...moved].filter((each) => each != null);
}

/** What two trees stand in: a stump keeps its pot, what a layered top moves into is still open. */
export function potsUnder<P>(pot: P | null, hasSecond: boolean): { first: P | null; second: P | null } {
  return hasSecond ? { first: null, second: pot } : { first: pot, second: null };
}
