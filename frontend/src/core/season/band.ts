/** A window as strokes, one a day or fewer where days lie close; the depth of their tone is the chance to be open. */

import { between } from '../dial/geometry';
import { dayPlus, daysBetween } from '../days';
import type { YearScale } from './scale';
import type { SeasonData, SeasonWork } from './types';

export interface Tone {
  /** Chance in tenths, 1 to 10. */
  tenth: number;
  path: string;
}

export interface Band {
  from: number;
  to: number;
  tones: readonly Tone[];
}

const PITCH = 2.5; // strokes do not lie closer
const LEAST = 0.05; // "under 1 in 20" is not drawn

/** The strokes of a work, all of one tone in one path; null where it is open on no day of this line. */
export function bandOf(work: SeasonWork, scale: YearScale, top: number, bottom: number): Band | null {
  const told = work.chance_by_day;
  if (told === null) return null;
  const paths = new Map<number, string>();
  let last = Number.NEGATIVE_INFINITY;
  let from = Number.NaN;
  let to = Number.NaN;
  told.open_prob.forEach((chance, i) => {
    const day = dayPlus(told.first, i);
    if (chance < LEAST || !scale.holds(day)) return;
    const x = scale.at(day);
    if (Number.isNaN(from)) from = x;
    to = scale.at(dayPlus(day, 1));
    if (x - last < PITCH) return;
    last = x;
    const tenth = Math.min(10, Math.max(1, Math.round(chance * 10)));
    paths.set(tenth, `${paths.get(tenth) ?? ''}M${x.toFixed(1)} ${top}V${bottom}`);
  });
  if (Number.isNaN(from)) return null;
  const tones = [...paths].sort(([a], [b]) => a - b).map(([tenth, path]) => ({ tenth, path }));
  return { from, to, tones };
}

/** How deep a tone is: never so pale that it cannot be seen, and full only where it is surely open. */
export const depthOf = (tenth: number): number => 0.16 + 0.084 * tenth;

/** A day that is not exact lies in its middle. */
export function middleOf(plan: { earliest: string | null; latest: string | null }): string | null {
  if (plan.earliest === null) return plan.latest;
  if (plan.latest === null) return plan.earliest;
  return dayPlus(plan.earliest, Math.floor(daysBetween(plan.earliest, plan.latest) / 2));
}

/** The year's line: it rests while the tree rests and rises while it grows, as the ring of the year is laid down. */
export function growthLine(
  data: SeasonData,
  scale: YearScale,
  foot: number,
  rise: number,
): { heightAt: (day: string) => number; path: (from: string, to: string) => string } {
  const heightAt = (day: string): number => {
    const share = data.growth.length ? between(data.growth, daysBetween(data.first, day) / data.days) : 0;
    return foot - rise * Math.max(0, Math.min(1, share));
  };
  const path = (from: string, to: string): string => {
    const points: string[] = [];
    for (let day = from; day <= to; day = dayPlus(day, 3)) points.push(point(day));
    points.push(point(to));
    return `M${points.join('L')}`;
  };
  const point = (day: string): string => `${scale.at(day).toFixed(1)} ${heightAt(day).toFixed(1)}`;
  return { heightAt, path };
}
