/** Past forecasts as a drawing: a line for each, spring by spring, along the days of the growing year. Plain numbers. */

export interface ForetoldLine {
  year: number;
  low_at: number;
  median_at: number;
  high_at: number;
  seen_at: number;
  mean_at: number | null;
}

/** Where one forecast is drawn, in px. */
export interface ForetoldMark {
  y: number;
  band: readonly [number, number];
  middle: number;
  seen: number;
  /** The tree's own mean; null where there was none. */
  mean: number | null;
  /** From the band's end to the day seen, where the band did not hold it. */
  missed: readonly [number, number] | null;
}

export interface ForetoldSpring {
  year: number;
  top: number;
  bottom: number;
  marks: readonly ForetoldMark[];
}

export interface Foretold {
  springs: readonly ForetoldSpring[];
  height: number;
  x: (at: number) => number;
}

const FEW = 40; // up to so many lines stand far enough apart to be told one by one
const PITCH = { few: 14, many: 9 };
const BETWEEN = 18; // springs
const LEAST_SPAN_days = 20; // a lucky week is not blown up to the full width
const AIR_days = 2;

/** The drawing between `left` and `right`, its first line below `top`. */
export function foretold(
  lines: readonly ForetoldLine[],
  { left, right, top }: { left: number; right: number; top: number },
): Foretold {
  const at = lines.flatMap((line) => [line.low_at, line.high_at, line.seen_at, line.mean_at ?? line.seen_at]);
  const first = Math.min(...at) - AIR_days;
  const last = Math.max(first + LEAST_SPAN_days, Math.max(...at) + AIR_days);
  const x = (day: number): number => left + ((day - first) / (last - first)) * (right - left);
  const pitch = lines.length > FEW ? PITCH.many : PITCH.few;
  const springs: ForetoldSpring[] = [];
  let y = top;
  for (const year of [...new Set(lines.map((line) => line.year))]) {
    const begins = y;
    const marks = lines
      .filter((line) => line.year === year)
      .map((line) => {
        y += pitch;
        return markOf(line, x, y - pitch / 2);
      });
    springs.push({ year, top: begins, bottom: y, marks });
    y += BETWEEN;
  }
  return { springs, height: springs.length ? y - BETWEEN : top, x };
}

function markOf(line: ForetoldLine, x: (at: number) => number, y: number): ForetoldMark {
  const end =
    line.seen_at < line.low_at ? line.low_at : line.seen_at > line.high_at ? line.high_at : undefined;
  return {
    y,
    band: [x(line.low_at), x(line.high_at)],
    middle: x(line.median_at),
    seen: x(line.seen_at),
    mean: line.mean_at === null ? null : x(line.mean_at),
    missed: end === undefined ? null : [x(end), x(line.seen_at)],
  };
}
