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
