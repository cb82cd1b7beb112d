/** The axis of a measure, the same for all courses and years, and the dots on it: each a likely value. */

export interface Axis {
  readonly low: number;
  readonly high: number;
  /** Few whole numbers: each has its own block of dots. */
  readonly isCounts: boolean;
}

export interface Dot {
  readonly x: number;
  readonly y: number;
}

const FEW_COUNTS = 14; // counts that span no more are drawn count by count
const MOST_TICKS = 12;

/** The axis that holds all values; undefined where there is none. */
export function axisOf(values: readonly number[], isCount: boolean): Axis | undefined {
  if (values.length === 0) return undefined;
  const low = Math.min(...values);
  const high = Math.max(...values);
  if (isCount && high - low <= FEW_COUNTS) {
    return { low: Math.round(low) - 0.5, high: Math.round(high) + 0.5, isCounts: true };
  }
  const span = Math.max(high - low, Math.abs(high) * 0.1, 1e-9);
  const ten = 10 ** Math.floor(Math.log10(span));
  const step = [0.1, 0.2, 0.5, 1].map((part) => part * ten).find((part) => span / part <= MOST_TICKS) ?? ten;
  const first = Math.floor(low / step + 1e-9) * step;
  const last = Math.ceil(high / step - 1e-9) * step;
  return { low: first, high: last > first ? last : first + step, isCounts: false };
}

/** Where a value lies on an axis of a width, from 0 at its left end. */
export function along(axis: Axis, value: number, width: number): number {
  return ((value - axis.low) / (axis.high - axis.low)) * width;
}

/**
 * The dots of a plot, stacked from the line (y 0) upwards (y falls). They keep their size; where a stack would reach
 * above `tall`, its dots move closer.
 */
export function dotsOf(
  values: readonly number[],
  axis: Axis,
  { width, tall, size }: { width: number; tall: number; size: number },
): Dot[] {
  const places = new Map<number, number>();
  for (const value of values) {
    const at = along(axis, axis.isCounts ? Math.round(value) : value, width);
    const place = axis.isCounts ? at : Math.round(at / size) * size;
    places.set(place, (places.get(place) ?? 0) + 1);
  }
  const columns = axis.isCounts ? Math.max(1, Math.floor((0.8 * width) / (axis.high - axis.low) / size)) : 1;
  const fullest = Math.ceil(Math.max(0, ...places.values()) / columns);
  const rise = Math.min(size, (tall - size) / Math.max(fullest - 1, 1));
  const dots: Dot[] = [];
  for (const [place, count] of [...places].sort(([a], [b]) => a - b)) {
    const across = Math.min(columns, count);
    for (let number = 0; number < count; number += 1) {
      dots.push({
        x: place + ((number % columns) - (across - 1) / 2) * size,
        y: -size / 2 - Math.floor(number / columns) * rise,
      });
    }
  }
  return dots;
}
