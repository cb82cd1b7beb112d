/** Aims as a form has them: all of it text, as typed. */

export interface WishDraft {
  measure: string;
  weight: string;
  low: string;
  high: string;
}

export interface AimsDraft {
  set: string;
  wishes: WishDraft[];
  early: string;
  middle: string;
  late: string;
}

interface Held {
  readonly set: string;
  readonly wishes: readonly WishDraft[];
  readonly time: { readonly early: string; readonly middle: string; readonly late: string };
}

function plain({ measure, weight, low, high }: WishDraft): WishDraft {
  return { measure, weight, low, high };
}

/** What the form begins with. */
export function begun(held: Held): AimsDraft {
  return { set: held.set, wishes: held.wishes.map(plain), ...held.time };
}

/** Another ready-made set, with its own measures and weights; the weights of years stay. */
export function fromSet(draft: AimsDraft, set: { key: string; wishes: readonly WishDraft[] }): AimsDraft {
  return { ...draft, set: set.key, wishes: set.wishes.map(plain) };
}

/** The measures that are not aimed at yet. */
export function free<M extends { key: string }>(draft: AimsDraft, measures: readonly M[]): M[] {
  const taken = new Set(draft.wishes.map(({ measure }) => measure));
  return measures.filter(({ key }) => !taken.has(key));
}

/** How much a measure counts as a share of all, from 0 to 1; undefined where a weight does not read. */
export function shareOf(draft: AimsDraft, place: number): number | undefined {
  const weights = draft.wishes.map(({ weight }) => Number(weight.trim().replace(',', '.') || NaN));
  const sum = weights.reduce((all, each) => all + each, 0);
  const own = weights[place] ?? NaN;
  return sum > 0 && own >= 0 ? own / sum : undefined;
}
