/** Whether a work is so close that what to do after it belongs on the page, not only what may happen. */

import { daysBetween } from '../days';

const SOON = 30; // days; as the window's own sentence has it

export function isNear(work: { state: string; opens: { low: string } | null }, today: string): boolean {
  if (work.state === 'open') return true;
  return work.state === 'ahead' && work.opens !== null && daysBetween(today, work.opens.low) <= SOON;
}
