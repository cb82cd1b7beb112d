/** The clock face: hours from above, the front at 6, in half hours. */

/** Where an hour lies on a face, x to the right and y down. */
export function atFace(hour: number, radius: number): { x: number; y: number } {
  const angle = (hour / 12) * 2 * Math.PI;
  return { x: radius * Math.sin(angle), y: -radius * Math.cos(angle) };
}

/** The hour that was typed: 3, 3.5, 3,5 or 3:30; null where it is none. */
export function hourOf(text: string): number | null {
  const found = /^(\d{1,2})(?:[.,](\d+)|:([0-5]\d))?$/.exec(text.trim());
  if (!found) return null;
  const part = found[3] ? Number(found[3]) / 60 : found[2] ? Number(`0.${found[2]}`) : 0;
  const hour = Number(found[1]) + part;
  return hour > 12 ? null : hour === 0 ? 12 : hour;
}

const STEPS: Readonly<Record<string, number>> = {
  ArrowRight: 0.5,
  ArrowUp: 0.5,
  ArrowLeft: -0.5,
  ArrowDown: -0.5,
  PageUp: 3,
  PageDown: -3,
};

/** The hour after a key; null where the key says nothing here. */
export function stepped(hour: number | null, key: string): number | null {
  if (key === 'Home') return 12;
  if (key === 'End') return 6;
  const step = STEPS[key];
  if (step === undefined) return null;
  if (hour === null) return 6;
  return (hour + step + 24) % 12 || 12;
}
