/** Entries by the growing year in which they lie. */

import type { Schema } from '../../../api/client';

export interface YearOfEntries {
  /** The growing year as people number it; null where an entry's day says none. */
  readonly label: number | null;
  readonly entries: Schema<'Entry'>[];
}

/** First day and number of each growing year that is known. */
export type Years = readonly { readonly label: number; readonly first: string }[];

/** The growing year of a day: the last that had begun; past the years that are known, counted on from the nearest. */
export function yearOf(day: string | null, years: Years): number | null {
  if (day === null || years.length === 0) return null;
  const sorted = [...years].sort((a, b) => a.label - b.label);
  const begins = sorted[0]!.first.slice(5); // every growing year begins on the same day of the calendar
  const ahead = sorted[0]!.label - Number(sorted[0]!.first.slice(0, 4)); // the label is that of the year it ends in
  const calendar = Number(day.slice(0, 4));
  return (day.slice(5, 10) >= begins ? calendar : calendar - 1) + ahead;
}

/** Entries as they came, newest first, parted where the growing year changes. */
export function byYear(entries: readonly Schema<'Entry'>[], years: Years): YearOfEntries[] {
  const groups: YearOfEntries[] = [];
  for (const entry of entries) {
    const label = yearOf(entry.on.latest ?? entry.on.earliest, years);
    const last = groups[groups.length - 1];
    if (last && last.label === label) last.entries.push(entry);
    else groups.push({ label, entries: [entry] });
  }
  return groups;
}
