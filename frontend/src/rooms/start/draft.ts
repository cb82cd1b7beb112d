/** What was typed and not yet stored, kept for this window so that a reload loses nothing; and which page is next. */

import type { Typed } from '../../parts/setup/typed';

export const PAGES = ['place', 'weather', 'tree'] as const;
export type Page = (typeof PAGES)[number];
export type Draft = Record<Page, Typed>;
/** A page of a question, the outlook of a tree that was just added, or the list of what is there. */
export type Shown = Page | 'outlook' | 'done';

const KEPT = 'ringwise.start';
type Kept = Pick<Storage, 'getItem' | 'setItem' | 'removeItem'>;

/** The draft as it was kept; what does not read is left out. */
export function readDraft(storage: () => Kept): Draft {
  const draft: Draft = { place: {}, weather: {}, tree: {} };
  try {
    const kept = JSON.parse(storage().getItem(KEPT) ?? '{}') as Partial<Record<Page, unknown>> | null;
    for (const page of PAGES) {
      for (const [field, text] of Object.entries(kept?.[page] ?? {})) {
        if (typeof text === 'string') draft[page][field] = text;
      }
    }
  } catch {
    // nothing kept that reads, or a private window that refuses
  }
  return draft;
}

/** Keeps the draft, or nothing where nothing is typed. */
export function keepDraft(storage: () => Kept, draft: Draft): void {
  try {
    if (PAGES.every((page) => Object.keys(draft[page]).length === 0)) storage().removeItem(KEPT);
    else storage().setItem(KEPT, JSON.stringify(draft));
  } catch {
    // as above; the draft then lasts as long as the page
  }
}

/** The page to show: the one asked for, else what the newcomer needs next; undefined until that is known. */
export function shownPage(asked: URLSearchParams, next: Page | 'done' | undefined): Shown | undefined {
  const wanted = asked.get('page');
  if (wanted === 'outlook' && asked.get('tree')) return 'outlook';
  if (wanted === 'done') return 'done';
  return PAGES.find((page) => page === wanted) ?? next;
}

/** The page after one, when it is stored or left for later. */
export function pageAfter(page: Page): Page | 'done' {
  return PAGES[PAGES.indexOf(page) + 1] ?? 'done';
}
