/** Texts that only one room says: fetched with it, so that the first page of every other room is smaller. */

import type { LikeEnglish } from './catalogue';
import type { futures } from './en/futures';

export type LateTexts = typeof futures;
type Fetched = () => Promise<LikeEnglish<LateTexts>>;

/** By room, then by language. */
export const LATE = {
  futures: {
    en: async () => (await import('./en/futures')).futures,
    de: async () => (await import('./de/futures')).futures,
  },
} satisfies Readonly<Record<string, Readonly<Record<'en' | 'de', Fetched>>>>;

export type LateName = keyof typeof LATE;

export function isLate(room: string): room is LateName {
  return Object.hasOwn(LATE, room);
}
