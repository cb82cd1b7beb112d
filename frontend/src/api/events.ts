/** The stream of events, opened again whenever it breaks. */

import type { Schema } from './client';

export type Listeners = {
  /** The record rose to a step; anything shown may be old. */
  change?: (stamp: number) => void;
  /** A newer almanac is there: windows, stages and what is due may have moved. */
  almanac?: (stamp: number) => void;
  /** Long work went on. */
  job?: (job: Schema<'Job'>) => void;
  /** Whether the server can be reached. */
  reach?: (isReached: boolean) => void;
};

const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 30_000;

/** How long to wait before the stream is opened again after so many failures in a row. */
export function waitAfter(failures: number): number {
  return Math.min(FIRST_WAIT_MS * 2 ** Math.max(0, failures - 1), LONGEST_WAIT_MS);
}

/**
 * Listen to the server's events until the function that is returned is called. A tab that is not seen lets its stream
 * go: a browser opens six connections to a server at most, and six streams would leave none for anything else. What it
 * missed it is told when it is seen again, since each stream begins with how things stand.
 */
export function listen(listeners: Listeners): () => void {
  let source: EventSource | undefined;
  let timer: ReturnType<typeof setTimeout> | undefined;
  let failures = 0;
  let isClosed = false;

  const open = (): void => {
    const stream = new EventSource('/api/events');
    source = stream;
    stream.addEventListener('open', () => {
      failures = 0;
      listeners.reach?.(true);
    });
    stream.addEventListener('error', () => {
      // The browser would try again by itself, but gives up where the server answers with an error.
      stream.close();
      if (isClosed || source !== stream) return;
      failures += 1;
      source = undefined;
      listeners.reach?.(false);
      timer = setTimeout(open, waitAfter(failures));
    });
    on(stream, 'change', ({ stamp }: { stamp: number }) => listeners.change?.(stamp));
    on(stream, 'almanac', ({ stamp }: { stamp: number }) => listeners.almanac?.(stamp));
    on(stream, 'job', (job: Schema<'Job'>) => listeners.job?.(job));
  };

  const follow = (): void => {
    clearTimeout(timer);
    if (document.hidden) {
      const stream = source;
      source = undefined;
      stream?.close();
    } else if (source === undefined) open();
  };

  document.addEventListener('visibilitychange', follow);
  if (!document.hidden) open();
  return () => {
    isClosed = true;
    document.removeEventListener('visibilitychange', follow);
    clearTimeout(timer);
    source?.close();
  };
}

function on<Data>(stream: EventSource, name: string, tell: (data: Data) => void): void {
  stream.addEventListener(name, (event) => tell(JSON.parse((event as MessageEvent<string>).data) as Data));
}
