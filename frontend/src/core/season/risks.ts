/** What the weather may do in the days after a work, as marks below its band: a shape before it is anything else. */

import { dayPlus } from '../days';
import type { YearScale } from './scale';
import type { SeasonRisk } from './types';

const LEAST = 0.05; // a smaller chance stands in the table alone
const STEP = 15; // from mark to mark
const COLD = 'M-4 0H4M-2 -3.5L2 3.5M2 -3.5L-2 3.5';
const COLD_SMALL = 'M-2.6 0.6H2.6M-1.3 -1.7L1.3 2.9M1.3 -1.7L-1.3 2.9';
const POT = 'M-5.5 -4L-4.5 5.5H4.5L5.5 -4';
const LEAF = 'M-4.5 5.5Q0 4 0 -1Q0 4 4.5 5.5M-2 -3.5L2 -0.5M2 -3.5L-2 -0.5M0 -4.5V0.5';

/** Cold is a star, heat a roof, wind two strokes; in the pot's core it stands in a pot, on leaves above two leaves. */
export const RISK_SHAPES: Readonly<Record<string, string>> = {
  bench_frost: COLD,
  core_frost: POT + COLD_SMALL,
  core_alarm: POT + COLD_SMALL,
  core_settled: POT + COLD_SMALL,
  core_until_leaf: POT + COLD_SMALL,
  core_rest: POT + COLD_SMALL,
  tender_frost: LEAF,
  leaf_frost: LEAF,
  heat: 'M-4 3L0 -3.5L4 3',
  core_heat: `${POT}M-2.4 2.8L0 -1.6L2.4 2.8`,
  wind: 'M-5 -2H3M-3 2H5',
};

/** The risks that are drawn and told in words: the first of each shape that is likely enough. */
export function likelyRisks<Risk extends SeasonRisk>(risks: readonly Risk[]): Risk[] {
  const likely = risks.filter((risk) => risk.prob >= LEAST);
  const shapes = likely.map((risk) => RISK_SHAPES[risk.kind]);
  return likely.filter((_risk, i) => shapes.indexOf(shapes[i]) === i);
}

/** A mark a risk, side by side, on a line as long as the days of the first; null where there is none in this year. */
export function riskMarks(
  risks: readonly SeasonRisk[],
  scale: YearScale,
): { from: number; to: number; marks: { shape: string; x: number }[] } | null {
  const here = risks.filter((risk) => scale.holds(risk.first));
  if (here.length === 0) return null;
  const from = scale.at(here[0]!.first);
  const to = scale.at(dayPlus(here[0]!.last, 1));
  const shapes = here.map((risk) => RISK_SHAPES[risk.kind] ?? COLD);
  const start = Math.min(from, Math.max(0, scale.width - shapes.length * STEP));
  return { from, to, marks: shapes.map((shape, i) => ({ shape, x: start + (i + 0.5) * STEP })) };
}
