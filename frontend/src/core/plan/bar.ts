/** The scale bar: a round length that reads well at the scale of the drawing. */

export type Units = 'metric' | 'inch';
export interface Bar {
  px: number;
  value: number;
  unit: 'm' | 'cm' | 'ft' | 'in';
}

const FOOT_MM = 304.8; // by definition, international foot
const CHOICES: Record<Units, readonly { mm: number; value: number; unit: Bar['unit'] }[]> = {
  metric: [
    { mm: 100, value: 10, unit: 'cm' },
    { mm: 200, value: 20, unit: 'cm' },
    { mm: 500, value: 50, unit: 'cm' },
    { mm: 1000, value: 1, unit: 'm' },
    { mm: 2000, value: 2, unit: 'm' },
    { mm: 5000, value: 5, unit: 'm' },
    { mm: 10_000, value: 10, unit: 'm' },
  ],
  inch: [
    { mm: FOOT_MM / 4, value: 3, unit: 'in' },
    { mm: FOOT_MM / 2, value: 6, unit: 'in' },
    { mm: FOOT_MM, value: 1, unit: 'ft' },
    { mm: 3 * FOOT_MM, value: 3, unit: 'ft' },
    { mm: 6 * FOOT_MM, value: 6, unit: 'ft' },
    { mm: 15 * FOOT_MM, value: 15, unit: 'ft' },
    { mm: 30 * FOOT_MM, value: 30, unit: 'ft' },
  ],
};
const LEAST_PX = 40;
const MOST_PX = 260;

/** One metre (three feet) wherever that is neither too short to measure by nor too long for the corner. */
export function barOf(scale: number, units: Units): Bar {
  const choices = CHOICES[units];
  const usual = choices[3]!;
  const fits = (each: { mm: number }): boolean => each.mm * scale >= LEAST_PX && each.mm * scale <= MOST_PX;
  const nearest =
    usual.mm * scale > MOST_PX
      ? (choices.findLast(fits) ?? choices[0]!)
      : (choices.find(fits) ?? choices.at(-1)!);
  const chosen = fits(usual) ? usual : nearest;
  return { px: chosen.mm * scale, value: chosen.value, unit: chosen.unit };
}
