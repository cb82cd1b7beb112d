/** Where the days of a growing year lie on a line; on a narrow one, months in which nothing happens are folded. */

import { dayPlus, daysBetween } from '../days';
import type { SeasonData } from './types';

/** A month of the growing year and its place on the line. */
export interface Month {
  /** Its first day. */
  first: string;
  from: number;
  to: number;
  folded: boolean;
}

export interface YearScale {
  width: number;
  months: readonly Month[];
  isFolded: boolean;
  /** Where a day begins; days outside of the year lie at its ends. */
  at(day: string): number;
  /** Whether a day belongs to the year. */
  holds(day: string): boolean;
}

const FOLDED = 16; // wide enough for the letter of a month
const ROOMY = 40; // from here on all months are drawn alike

/** Days that must not lie in a folded month: today, stages, and where windows most likely open and close. */
export function busyDays(data: SeasonData): string[] {
  return [
    data.today,
    ...data.stages.map((stage) => stage.seen ?? stage.expected?.median),
    ...data.works.flatMap((work) => [
      work.opens?.median,
      work.closes?.median,
      ...work.planned.map((plan) => plan.earliest),
    ]),
  ].filter((day) => typeof day === 'string');
}

/** First days of the months of a growing year, which begins on the first of one. */
function monthsOf(first: string, days: number): string[] {
  const found: string[] = [];
  const end = dayPlus(first, days);
  for (let day = first; day < end;) {
    found.push(day);
    const [year, month] = [Number(day.slice(0, 4)), Number(day.slice(5, 7))];
    day = `${year + (month === 12 ? 1 : 0)}-${String((month % 12) + 1).padStart(2, '0')}-01`;
  }
  return found;
}

/** The scale of a growing year on a line of a width. */
export function yearScale(
  first: string,
  days: number,
  width: number,
  busy: readonly string[] = [],
): YearScale {
  const end = dayPlus(first, days);
  const starts = monthsOf(first, days);
  const lengths = starts.map((start, i) => daysBetween(start, starts[i + 1] ?? end));
  const isQuiet = starts.map((start, i) => {
    const next = starts[i + 1] ?? end;
    return !busy.some((day) => day >= start && day < next);
  });
  const isFolded = width / starts.length < ROOMY && isQuiet.includes(true) && isQuiet.includes(false);
  const quiet = isFolded ? isQuiet.filter(Boolean).length : 0;
  const open = lengths.reduce((sum, length, i) => sum + (isFolded && isQuiet[i] ? 0 : length), 0);
  const wideDay = (width - quiet * FOLDED) / open;
  let from = 0;
  const months = starts.map((start, i): Month => {
    const folded = isFolded && isQuiet[i]!;
    const wide = folded ? FOLDED : lengths[i]! * wideDay;
    from += wide;
    return { first: start, from: from - wide, to: from, folded };
  });
  const at = (day: string): number => {
    if (day <= first) return 0;
    if (day >= end) return width;
    const month = months.findLast((each) => each.first <= day)!;
    const length = lengths[months.indexOf(month)]!;
    return month.from + ((month.to - month.from) * daysBetween(month.first, day)) / length;
  };
  return { width, months, isFolded, at, holds: (day) => day >= first && day < end };
}
