/** Calendar days as the text YYYY-MM-DD, without a clock and without a zone. */

const ONE_DAY_ms = 86_400_000;

/** The day so many days later (or earlier, when negative). */
export function dayPlus(day: string, days: number): string {
  return new Date(Date.parse(`${day}T00:00:00Z`) + days * ONE_DAY_ms).toISOString().slice(0, 10);
}

/** Days from one day to another; negative when the second is earlier. */
export function daysBetween(from: string, to: string): number {
  return Math.round((Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / ONE_DAY_ms);
}

/** A day as it is read ("7 Mar 2027"); a text that is no whole day, such as "spring 2021", as it is. */
export function dayShown(day: string, locale: string): string {
  const at = /^\d{4}-\d{2}-\d{2}$/.test(day) ? Date.parse(`${day}T00:00:00Z`) : NaN;
  if (Number.isNaN(at)) return day;
  const written = { day: 'numeric', month: 'short', year: 'numeric', timeZone: 'UTC' } as const;
  return new Intl.DateTimeFormat(locale, written).format(at);
}

/** A day without its year ("7 Mar"). */
export function dayOnly(day: string, locale: string): string {
  const written = { day: 'numeric', month: 'short', timeZone: 'UTC' } as const;
  return new Intl.DateTimeFormat(locale, written).format(new Date(`${day}T00:00:00Z`));
}

/** The day where the device is, for the rare case that the server has never answered. */
export function deviceDay(): string {
  return new Intl.DateTimeFormat('sv-SE').format(new Date());
}
