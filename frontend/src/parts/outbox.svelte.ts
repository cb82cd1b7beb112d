/** Logging with wet hands: each entry is first laid into the device's outbox, then sent; what cannot be sent waits. */

import { ask, freshKey, TroubleError, type Schema } from '../api/client';
import { Outbox, type Load, type Sent, type Waiting } from '../api/outbox';
import { upload } from '../api/upload';
import { t } from '../words/words.svelte';
import { say } from './notices.svelte';
import { stored } from './news.svelte';
import { troubleLine } from './trouble';

const PATIENCE_ms = 10_000; // a plain entry that got no answer in this time waits in the outbox

let box: Outbox | undefined;
let waitingNow = $state.raw<readonly Waiting[]>([]);

/** How logging ended: stored; kept on this device until the server answers; or refused with what is wrong. */
export type Logged =
  | { readonly is: 'stored'; readonly done: Schema<'Done'> }
  | { readonly is: 'kept' }
  | { readonly is: 'refused'; readonly wrong: unknown };

/** What is only on this device, oldest first. */
export function waiting(): readonly Waiting[] {
  return waitingNow;
}

/** Follows the outbox while the app is open. Returns what ends it. */
export function followOutbox(): () => void {
  void read();
  return theBox().onChange(() => void read());
}

/** Logs on a tree. `line` says what it is while it waits. */
export async function logOn(
  tree: string,
  load: Load,
  line: string,
  onProgress?: (share: number) => void,
): Promise<Logged> {
  const entry = { key: freshKey(), tree, line, load };
  const isLaid = await laid(entry);
  try {
    const done = await send(entry, onProgress);
    if (isLaid) await theBox().remove(entry.key);
    say(done.line, done.action);
    stored(done.action);
    return { is: 'stored', done };
  } catch (wrong) {
    if (isLaid && isAway(wrong)) {
      theBox().release(entry.key);
      say(t('outbox.kept'));
      return { is: 'kept' };
    }
    if (isLaid) await theBox().remove(entry.key);
    return { is: 'refused', wrong };
  }
}

/** Sends what waits. Says how much was stored, if anything. */
export async function sendWaiting(): Promise<void> {
  const count = await theBox().sendAll(async (entry): Promise<Sent> => {
    try {
      const done = await send(entry);
      stored(done.action);
      return { is: 'stored' };
    } catch (wrong) {
      return isAway(wrong) ? { is: 'away' } : { is: 'refused', line: troubleLine(wrong) };
    }
  });
  if (count > 0) say(t('outbox.sent', { count }));
}

/** Deletes an entry that was not sent. */
export async function forget(key: string): Promise<void> {
  await theBox().remove(key);
}

/** Whether an entry may well be taken later as it is: the server was not there, was busy, or did not answer itself. */
export function isAway(wrong: unknown): boolean {
  if (!(wrong instanceof TroubleError)) return false;
  return (
    wrong.kind === 'offline' || wrong.kind === 'strange' || wrong.kind === 'locked' || wrong.status > 500
  );
}

async function laid(entry: Omit<Waiting, 'order' | 'refused'>): Promise<boolean> {
  try {
    await theBox().lay(entry, true);
    return true;
  } catch {
    return false; // private windows and full disks; it is then sent without a net
  }
}

function send(
  { tree, key, load }: Pick<Waiting, 'tree' | 'key' | 'load'>,
  onProgress?: (share: number) => void,
): Promise<Schema<'Done'>> {
  if (load.sort === 'photo') return upload(tree, key, load.file, load.query, onProgress);
  const signal = AbortSignal.timeout(PATIENCE_ms);
  if (load.sort === 'tape') {
    return ask('post', '/api/trees/{tree}/shape/tape', {
      path: { tree },
      body: { ...load.body, key },
      signal,
    });
  }
  return ask('post', '/api/trees/{tree}/entries', { path: { tree }, body: { ...load.body, key }, signal });
}

async function read(): Promise<void> {
  try {
    waitingNow = await theBox().waiting();
  } catch {
    waitingNow = [];
  }
}

function theBox(): Outbox {
  box ??= new Outbox();
  return box;
}
