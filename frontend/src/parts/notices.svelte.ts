/** What is said after a deed, with the way to take it back, and what went wrong. */

import { ask, type Schema } from '../api/client';
import { t } from '../words/words.svelte';
import { head, stored } from './news.svelte';
import { troubleLine } from './trouble';

export interface Notice {
  readonly id: number;
  readonly line: string;
  readonly isTrouble: boolean;
  /** The step that can be taken back from here; null where there is none. */
  readonly action: number | null;
}

const MOST = 3; // more than this cover the page; the oldest go

let shown = $state.raw<readonly Notice[]>([]);
let last = 0;

/** The notices on screen, oldest first. */
export function notices(): readonly Notice[] {
  return shown;
}

/** Says a line; with the number of a step it offers to take that step back. */
export function say(line: string, action: number | null = null): void {
  add({ line, action, isTrouble: false });
}

/** Says what went wrong, in the server's one line. */
export function sayTrouble(wrong: unknown): void {
  add({ line: troubleLine(wrong), action: null, isTrouble: true });
}

/** Takes a notice off the screen. */
export function dismiss(id: number): void {
  shown = shown.filter((notice) => notice.id !== id);
}

/**
 * Whether the step of a notice is still the one that would be taken back: the server takes back the latest step,
 * so a notice offers it no longer once something was done after it.
 */
export function isLatest(notice: Notice): boolean {
  const stamp = head()?.stamp ?? 0;
  const later = shown.some((other) => other.id > notice.id && other.action !== null);
  return notice.action !== null && notice.action >= stamp && !later;
}

/**
 * Does a deed, says the server's line with "take back" and has all rooms read again. Answers what was done, or
 * undefined after saying what went wrong; with `onTrouble` the caller says that itself, such as beside a field.
 */
export async function deed(
  work: () => Promise<Schema<'Done'>>,
  onTrouble: (wrong: unknown) => void = sayTrouble,
): Promise<Schema<'Done'> | undefined> {
  try {
    const done = await work();
    say(done.line, done.action);
    stored(done.action);
    return done;
  } catch (wrong) {
    onTrouble(wrong);
    return undefined;
  }
}

/** Takes back the latest step and says what was taken back. */
export async function takeBack(from?: Notice): Promise<void> {
  const step = from?.action ?? head()?.undo_step ?? null;
  try {
    const done = await ask('post', '/api/undo', step === null ? {} : { query: { step } });
    if (from) dismiss(from.id);
    say(done.line || t('house.taken_back'));
    stored(done.action);
  } catch (wrong) {
    sayTrouble(wrong);
  }
}

function add(given: Omit<Notice, 'id'>): void {
  last += 1;
  shown = [...shown.slice(1 - MOST), { id: last, ...given }];
}
