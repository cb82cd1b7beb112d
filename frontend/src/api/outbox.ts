/**
 * What was logged on this device and is not yet known to have reached the server. Every entry is laid in here first,
 * under the key it is sent with, and leaves when the server has answered. A repeated send is stored once.
 */

import type { Schema } from './client';

/** What waits: an entry or a tape as typed, or a photo with what is said of it. */
export type Load =
  | { readonly sort: 'entry'; readonly body: Schema<'EntryGiven'> }
  | { readonly sort: 'tape'; readonly body: Schema<'TapeSent'> }
  | { readonly sort: 'photo'; readonly file: Blob; readonly query: PhotoQuery };

export interface PhotoQuery {
  readonly view: string;
  readonly date: string;
  readonly note: string;
  readonly modified: string;
  readonly name: string;
}

export interface Waiting {
  /** Sent with it; also its name in here. */
  readonly key: string;
  /** Rises with each entry of this device, so that they are sent in the order in which they were written. */
  readonly order: number;
  readonly tree: string;
  /** What it is, in words, as they were when it was written. */
  readonly line: string;
  readonly load: Load;
  /** The server's line where it refused this entry; it then stays until it is deleted. */
  readonly refused: string;
}

/** How a send ended: stored, the server away (try later, and nothing after it either), or refused with a line. */
export type Sent =
  { readonly is: 'stored' } | { readonly is: 'away' } | { readonly is: 'refused'; readonly line: string };

const STORE = 'waiting';

/** The waiting entries of a device. One for a page; several pages of a device share what lies in it. */
export class Outbox {
  readonly #factory: IDBFactory;
  readonly #name: string;
  readonly #held = new Set<string>();
  readonly #listeners = new Set<() => void>();
  #opened: Promise<IDBDatabase> | undefined;
  #sending: Promise<number> | undefined;

  constructor(factory: IDBFactory = indexedDB, name = 'ringwise') {
    this.#factory = factory;
    this.#name = name;
  }

  /** Be told when something was laid in or left; returns how to stop that. */
  onChange(listener: () => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** Lays an entry in. While it is held, `sendAll` leaves it alone: whoever wrote it sends it first. */
  async lay(entry: Omit<Waiting, 'order' | 'refused'>, isHeld = false): Promise<void> {
    if (isHeld) this.#held.add(entry.key);
    const all = await this.#read();
    const order = (all[all.length - 1]?.order ?? 0) + 1;
    await this.#write((store) => store.put({ ...entry, order, refused: '' } satisfies Waiting));
  }

  /** Lets an entry go that was held; it is then sent with the others. */
  release(key: string): void {
    this.#held.delete(key);
    this.#tell();
  }

  /** Takes an entry out, sent or not. */
  async remove(key: string): Promise<void> {
    this.#held.delete(key);
    await this.#write((store) => store.delete(key));
  }

  /** What waits, in the order in which it was written; what is being sent for the first time is left out. */
  async waiting(): Promise<Waiting[]> {
    return (await this.#read()).filter(({ key }) => !this.#held.has(key));
  }

  /**
   * Sends what waits, one after the other, oldest first. Where the server is away it stops, so that nothing overtakes;
   * what is refused stays with the server's line, and the next is sent. Answers how many were stored.
   */
  sendAll(send: (entry: Waiting) => Promise<Sent>): Promise<number> {
    this.#sending ??= this.#sendAll(send).finally(() => {
      this.#sending = undefined;
    });
    return this.#sending;
  }

  async #sendAll(send: (entry: Waiting) => Promise<Sent>): Promise<number> {
    let stored = 0;
    for (const entry of await this.waiting()) {
      if (entry.refused) continue;
      const sent = await send(entry);
      if (sent.is === 'away') break;
      if (sent.is === 'stored') {
        await this.remove(entry.key);
        stored += 1;
      } else {
        await this.#write((store) => store.put({ ...entry, refused: sent.line } satisfies Waiting));
      }
    }
    return stored;
  }

  async #read(): Promise<Waiting[]> {
    const base = await this.#base();
    const all = await answerOf(base.transaction(STORE).objectStore(STORE).getAll() as IDBRequest<Waiting[]>);
    return all.sort((a, b) => a.order - b.order);
  }

  async #write(change: (store: IDBObjectStore) => unknown): Promise<void> {
    const base = await this.#base();
    const transaction = base.transaction(STORE, 'readwrite');
    change(transaction.objectStore(STORE));
    await new Promise<void>((resolve, reject) => {
      transaction.oncomplete = () => resolve();
      transaction.onabort = () => reject(transaction.error ?? new Error('not kept'));
    });
    this.#tell();
  }

  #tell(): void {
    this.#listeners.forEach((listener) => listener());
  }

  #base(): Promise<IDBDatabase> {
    this.#opened ??= (async () => {
      const asked = this.#factory.open(this.#name, 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: 'key' });
      const base = await answerOf(asked);
      base.onversionchange = () => base.close();
      return base;
    })();
    this.#opened.catch(() => (this.#opened = undefined)); // private windows may refuse it now and allow it later
    return this.#opened;
  }
}

function answerOf<Answer>(asked: IDBRequest<Answer>): Promise<Answer> {
  return new Promise((resolve, reject) => {
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error ?? new Error('not kept'));
  });
}
