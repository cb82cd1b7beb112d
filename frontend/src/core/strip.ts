/** The weather strip as heights: where each day's stroke begins and ends, and how far its rain hangs. Plain numbers. */

export interface StripDay {
  day: string;
  tmin_degC: { value: number | null };
  tmax_degC: { value: number | null };
  rain_mm: { value: number | null };
  tmin_low_degC: number | null;
  tmax_high_degC: number | null;
}

/** Heights of a day in px from the top of the strip; null where nothing is known. */
export interface StripMarks {
  highest: number | null;
  lowest: number | null;
  /** The spread of past years: its upper and lower end. */
  spread: readonly [number, number] | null;
  /** Length of the rain tick; 0 on a dry day. */
  rain: number;
}

export interface StripScale {
  days: readonly StripMarks[];
  /** Where 0 °C lies. */
  frost: number;
}

/** What a day may bring, with its chance: 0 or 1 behind, a share of the years ahead. */
export interface StripHazards {
  bench_frost_prob: number | null;
  core_frost_prob: number | null;
  bench_heat_prob: number | null;
  core_heat_prob: number | null;
}

export type Hazard = 'bench_frost' | 'core_frost' | 'bench_heat' | 'core_heat';

const HAZARDS: readonly Hazard[] = ['core_frost', 'bench_frost', 'core_heat', 'bench_heat'];
const ONE_IN_FIVE = 0.2;

/** The marks of a day, at most one for cold and one for heat: in the pot where it gets that far, else at the bench. */
export function hazardMarks(day: StripHazards): { hazard: Hazard; prob: number }[] {
  const found = HAZARDS.flatMap((hazard) => {
    const prob = day[`${hazard}_prob`];
    return prob !== null && prob >= ONE_IN_FIVE ? [{ hazard, prob }] : [];
  });
  return found.filter(
    ({ hazard }) =>
      !found.some((other) => other.hazard === hazard.replace('bench', 'core') && other.hazard !== hazard),
  );
}

const LEAST_SPAN_degC = 15; // a mild week is not blown up to the full height
const LEAST_RAIN_mm = 10; // nor is a drizzle

/** The strip's heights, rain hanging in the first `rainRoom` px, temperatures between `top` and `bottom`. */
export function stripScale(
  days: readonly StripDay[],
  { rainRoom, top, bottom }: { rainRoom: number; top: number; bottom: number },
): StripScale {
  const known = days
    .flatMap((day) => [day.tmin_degC.value, day.tmax_degC.value, day.tmin_low_degC, day.tmax_high_degC])
    .filter((value) => value !== null);
  const coldest = Math.min(0, ...known);
  const warmest = Math.max(0, coldest + LEAST_SPAN_degC, ...known);
  const at = (degC: number): number => top + ((warmest - degC) / (warmest - coldest)) * (bottom - top);
  const most = Math.max(LEAST_RAIN_mm, ...days.map((day) => day.rain_mm.value ?? 0));
  return {
    frost: at(0),
    days: days.map((day) => ({
      highest: day.tmax_degC.value === null ? null : at(day.tmax_degC.value),
      lowest: day.tmin_degC.value === null ? null : at(day.tmin_degC.value),
      spread:
        day.tmin_low_degC === null || day.tmax_high_degC === null
          ? null
          : [at(day.tmax_high_degC), at(day.tmin_low_degC)],
      rain: ((day.rain_mm.value ?? 0) / most) * rainRoom,
    })),
  };
}
