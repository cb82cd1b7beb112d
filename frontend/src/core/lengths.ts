/** Inside lengths of a pot for people: as on its own line, centimetres or the nearest quarter inch. */

const INCH_mm = 25.4;

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
