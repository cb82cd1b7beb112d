/** A year drawn from the means of its coldest and warmest month, as the server makes described weather from them. */

export interface YearShape {
  /** From the winter solstice to the coldest day. */
  readonly lag_days: number;
  /** From the usual night to the usual day, in winter and in summer. */
  readonly range_winter_degC: number;
  readonly range_summer_degC: number;
}

export interface YearDay {
  /** Day of the year, the first of January is 0. */
  readonly day: number;
  readonly mean_degC: number;
  readonly night_degC: number;
  readonly noon_degC: number;
}

export const YEAR_days = 365;
const SOLSTICE = { north: 354, south: 171 }; // 21 December and 21 June, counted from the first of January
const MONTH_OF_HARMONIC = Math.sin(Math.PI / 12) / (Math.PI / 12); // a month's mean against its middle day

/** Every day of a calendar year; the stated means come back as the means of the coldest and warmest twelfth. */
export function yearOf(
  coldest_degC: number,
  warmest_degC: number,
  shape: YearShape,
  south: boolean,
): YearDay[] {
  const middle_degC = (coldest_degC + warmest_degC) / 2;
  const swing_degC = (warmest_degC - coldest_degC) / 2 / MONTH_OF_HARMONIC;
  const coldestDay = (south ? SOLSTICE.south : SOLSTICE.north) + shape.lag_days;
  return Array.from({ length: YEAR_days }, (_none, day) => {
    const cosine = Math.cos((2 * Math.PI * (day - coldestDay)) / YEAR_days);
    const mean_degC = middle_degC - swing_degC * cosine;
    const summer = (1 - cosine) / 2;
    const half_degC = ((1 - summer) * shape.range_winter_degC + summer * shape.range_summer_degC) / 2;
    return { day, mean_degC, night_degC: mean_degC - half_degC, noon_degC: mean_degC + half_degC };
  });
}

/**
 * The span in which an ordinary night freezes, as days of the year; it may run over the new year. `never` and `always`
 * where no night or every night does.
 */
export function freezingNights(year: readonly YearDay[]): 'never' | 'always' | { from: number; to: number } {
  const freezes = year.map((one) => one.night_degC < 0);
  if (freezes.every((one) => one)) return 'always';
  const from = freezes.findIndex((one, day) => one && !freezes.at(day - 1));
  if (from < 0) return 'never';
  let to = from;
  while (freezes[(to + 1) % YEAR_days]) to = (to + 1) % YEAR_days;
  return { from, to };
}

/** The warmest or coldest day of the year. */
export function extreme(year: readonly YearDay[], which: 'coldest' | 'warmest'): YearDay {
  const sign = which === 'warmest' ? 1 : -1;
  return year.reduce((best, one) => (sign * (one.mean_degC - best.mean_degC) > 0 ? one : best));
}

/** A day of the year as a date of a year without a leap day, at noon UTC, for Intl. */
export function dateOf(day: number): Date {
  return new Date(Date.UTC(2001, 0, 1 + day, 12));
}

export interface YearScale {
  readonly x: (day: number) => number;
  readonly y: (value_degC: number) => number;
  readonly ticks_degC: readonly number[];
}

/** Days and degrees to a drawing of this size; the frost line always lies within it. */
export function yearScale(
  year: readonly YearDay[],
  box: { left: number; right: number; top: number; bottom: number },
): YearScale {
  const low = Math.min(0, ...year.map((one) => one.night_degC));
  const high = Math.max(0, ...year.map((one) => one.noon_degC));
  const [from, to] = [
    Math.floor(low / 5) * 5,
    Math.max(Math.ceil(high / 5) * 5, Math.floor(low / 5) * 5 + 10),
  ];
  const step = to - from > 30 ? 20 : 10;
  const ticks = [];
  for (let at = Math.ceil(from / step) * step; at <= to; at += step) ticks.push(at);
  return {
    x: (day) => box.left + (day / YEAR_days) * (box.right - box.left),
    y: (value_degC) => box.bottom - ((value_degC - from) / (to - from)) * (box.bottom - box.top),
    ticks_degC: ticks,
  };
}

/** The mean as a line and the band from night to day as an area, as paths. */
export function yearPaths(year: readonly YearDay[], { x, y }: YearScale): { mean: string; band: string } {
  const some = year.filter((one) => one.day % 5 === 0 || one.day === YEAR_days - 1);
  const line = (points: readonly string[]): string => `M${points.join('L')}`;
  const at = (day: number, value: number): string => `${x(day).toFixed(1)} ${y(value).toFixed(1)}`;
  const over = some.map((one) => at(one.day, one.noon_degC));
  const under = some.map((one) => at(one.day, one.night_degC)).reverse();
  return { mean: line(some.map((one) => at(one.day, one.mean_degC))), band: `${line([...over, ...under])}Z` };
}
