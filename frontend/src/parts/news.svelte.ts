/** What all rooms share: the head of the record, whether the server is there, and loaders that follow both. */

import { untrack } from 'svelte';

import {
  addressOf,
  get,
  TroubleError,
  type AnswerOf,
  type PathOf,
  type Schema,
  type Wish,
} from '../api/client';
import { listen } from '../api/events';
import { language, LANGUAGES, speak, type Language } from '../words/words.svelte';
import { NOTHING_SEEN, onReach, onStamp, type Seen } from './beat';

let headNow = $state.raw<Schema<'Head'>>();
let isOffline = $state(false);
let beat = $state(0); // rises whenever what is shown may be old
let seen: Seen = NOTHING_SEEN;
let headAsked = 0;
const jobListeners = new Set<(job: Schema<'Job'>) => void>();

/** The head as last heard: yard, day, stamp, what would be taken back; undefined before the first answer. */
export function head(): Schema<'Head'> | undefined {
  return headNow;
}

/** Whether the server cannot be reached; what is on screen then stays, and may be old. */
export function offline(): boolean {
  return isOffline;
}

/** Begins to listen; called once by the app. Returns what ends it. */
export function startNews(): () => void {
  addEventListener('online', refresh);
  let stop = (): void => undefined;
  let isEnded = false;
  // only then: what the stream begins with is news or not by the step that the first answer named
  void readHead().then(() => {
    if (!isEnded) stop = listenToAll();
  });
  return () => {
    isEnded = true;
    removeEventListener('online', refresh);
    stop();
  };
}

function listenToAll(): () => void {
  let isOpening = true; // a stream begins by telling what holds; that is no news to a page just read
  return listen({
    change: (stamp) => follow(onStamp(seen, stamp)),
    almanac: () => {
      const isKnown = isOpening && headNow?.almanac !== 'making';
      isOpening = false;
      if (!isKnown) refresh();
    },
    job: (job) => jobListeners.forEach((tell) => tell(job)),
    reach: (isReached) => {
      isOffline = !isReached;
      if (isReached) isOpening = true;
      follow(onReach(seen, isReached));
      // the almanac may have been finished between the first answer and the opening of the stream
      if (isReached && headNow?.almanac === 'making') refresh();
    },
  });
}

/** Reads everything on screen again: after a deed of this page, or when the person asks for it. */
export function refresh(): void {
  beat += 1;
  void readHead();
}

/** A deed of this page was stored as this step; its own event is then no news. */
export function stored(action: number | null): void {
  if (action !== null) seen = onStamp(seen, action).seen;
  refresh();
}

/** Be told how far long work is; returns how to stop that. */
export function onJob(tell: (job: Schema<'Job'>) => void): () => void {
  jobListeners.add(tell);
  return () => jobListeners.delete(tell);
}

function follow({ seen: next, isNews }: { seen: Seen; isNews: boolean }): void {
  seen = next;
  if (isNews) refresh();
}

async function readHead(): Promise<void> {
  const number = ++headAsked;
  try {
    const answer = await get('/api/head');
    if (number !== headAsked) return; // a later question is under way
    headNow = answer;
    isOffline = false;
    seen = onStamp(seen, answer.stamp).seen;
    if (answer.language !== language() && Object.hasOwn(LANGUAGES, answer.language)) {
      await speak(answer.language as Language);
    }
  } catch (wrong) {
    if (wrong instanceof TroubleError && wrong.kind === 'offline') isOffline = true;
  }
}

/** An answer of the server that stays on screen while a newer one is fetched. */
export class Live<Answer> {
  /** The last answer; undefined before the first, and after the path went to another thing. */
  value = $state.raw<Answer>();
  /** Why there is no newer answer; undefined once one came. */
  wrong = $state.raw<unknown>();
  /** Whether an answer is being waited for. */
  loading = $state(true);
  #turn = $state(0);

  /** Asks once more, such as after an error. */
  again(): void {
    this.#turn += 1;
  }

  /** For the loader: reading it makes an effect run again after `again()`. */
  get turn(): number {
    return this.#turn;
  }
}

/**
 * Fetches typed data and keeps it new: asked again when the record rises, the almanac is there, the server is back,
 * or what the wish reads changes. A wish of null asks for nothing. Called while a component is set up.
 *
 *   const tree = live('/api/trees/{tree}', () => ({ path: { tree: id } }));
 *   {#if tree.value} ... {:else if tree.wrong} ... {/if}
 */
export function live<P extends PathOf<'get'>>(
  path: P,
  wish: () => Wish<'get', P> | null = () => ({}) as Wish<'get', P>,
): Live<AnswerOf<'get', P>> {
  const loader = new Live<AnswerOf<'get', P>>();
  let shownFor = '';
  $effect(() => {
    void beat;
    void loader.turn;
    const given = wish();
    const ending = new AbortController();
    untrack(() => {
      if (given === null) {
        loader.loading = false;
        return;
      }
      const parts = given as { path?: Record<string, unknown> };
      const thing = addressOf(path, parts.path ? { path: parts.path } : {});
      if (thing !== shownFor) loader.value = undefined; // never show one tree under the name of another
      shownFor = thing;
      loader.loading = true;
      void fetched(
        loader,
        () => get(path, ...([{ ...given, signal: ending.signal }] as never)),
        ending.signal,
      );
    });
    return () => ending.abort();
  });
  return loader;
}

async function fetched<Answer>(
  loader: Live<Answer>,
  question: () => Promise<Answer>,
  signal: AbortSignal,
): Promise<void> {
  try {
    const answer = await question();
    if (signal.aborted) return;
    loader.value = answer;
    isOffline = false; // the stream of events may have outlived what kept us from asking
    loader.wrong = undefined;
  } catch (wrong) {
    if (signal.aborted) return;
    loader.wrong = wrong;
    if (wrong instanceof TroubleError && wrong.kind === 'offline') isOffline = true;
  }
  loader.loading = false;
}
