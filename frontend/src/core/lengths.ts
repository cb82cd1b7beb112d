/** Inside lengths of a pot for people: as on its own line, centimetres or the nearest quarter inch. */

export const INCH_mm = 25.4; // by definition

/** A length with its unit and a narrow space before it. */
export function lengthShown(length_mm: number, units: 'metric' | 'inch', locale: string): string {
  if (units === 'metric') {
    const number = new Intl.NumberFormat(locale, { maximumFractionDigits: 1 }).format(length_mm / 10);
    return `${number}\u202fcm`;
  }
  const quarters = Math.round((length_mm / INCH_mm) * 4);
  const whole = Math.floor(quarters / 4);
  const rest = ['', '1/4', '1/2', '3/4'][quarters % 4]!;
  const text = whole === 0 && rest ? rest : rest ? `${whole} ${rest}` : String(whole);
  return `${text}\u202fin`;
}

/** A length as the server shows one: mm below 10 cm, cm to 3 m, m beyond; or inches as they stand on a tape. */
export function tapeLength(length_mm: number, units: 'metric' | 'inch', locale: string): string {
  const digits = (value: number, most: number): string =>
    new Intl.NumberFormat(locale, { maximumSignificantDigits: most, useGrouping: false }).format(value);
  if (units === 'inch') return `${onTape(length_mm, digits)}\u202fin`;
  const size = Math.abs(length_mm);
  if (size < 100) return `${digits(length_mm, 2)}\u202fmm`;
  if (size < 3000) return `${digits(length_mm / 10, 3)}\u202fcm`;
  return `${digits(length_mm / 1000, 2)}\u202fm`;
}

/** A length beside others on one rule: all in the unit of the largest. */
export function ruleLength(
  length_mm: number,
  most_mm: number,
  units: 'metric' | 'inch',
  locale: string,
): string {
  const shown = (value: number, most: number): string =>
    new Intl.NumberFormat(locale, { maximumSignificantDigits: most, useGrouping: false }).format(value);
  if (units === 'inch') return `${shown(length_mm / INCH_mm, 3)}\u202fin`;
  return most_mm < 400 ? `${shown(length_mm, 3)}\u202fmm` : `${shown(length_mm / 10, 3)}\u202fcm`;
}

/** Upper end of a range in inches, and the parts of an inch that are read there. */
const TAPE = [
  [1, 16],
  [6, 8],
  [36, 4],
  [Infinity, 1],
] as const;

function onTape(length_mm: number, digits: (value: number, most: number) => string): string {
  const inches = Math.abs(length_mm) / INCH_mm;
  if (inches === 0) return '0';
  if (inches < 1 / 32) return digits(length_mm / INCH_mm, 2);
  const parts = TAPE.find(([top]) => inches < top)![1];
  const count = Math.round(inches * parts);
  const [whole, rest] = [Math.floor(count / parts), count % parts];
  const sign = length_mm < 0 ? '-' : '';
  if (rest === 0) return `${sign}${whole}`;
  const shared = divisor(rest, parts);
  const fraction = `${rest / shared}/${parts / shared}`;
  return whole ? `${sign}${whole} ${fraction}` : `${sign}${fraction}`;
}

function divisor(a: number, b: number): number {
  return b === 0 ? a : divisor(b, a % b);
}
