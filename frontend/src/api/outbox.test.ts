import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, describe, expect, it } from 'vitest';

import { Outbox, type Sent, type Waiting } from './outbox';

const entry = (key: string): Omit<Waiting, 'order' | 'refused'> => ({
  key,
  tree: 'T03',
  line: `girth ${key}`,
  load: {
    sort: 'photo',
    file: new Blob([key]),
    query: { view: 'front', date: '', note: '', modified: '', name: key },
  },
});

let factory: IDBFactory;
let outbox: Outbox;
beforeEach(() => {
  factory = new IDBFactory();
  outbox = new Outbox(factory);
});

const keysOf = (all: readonly Waiting[]) => all.map(({ key }) => key);

describe('what waits', () => {
  it('is there in the order in which it was written, also for the next page', async () => {
    for (const key of ['cc', 'aa', 'bb']) await outbox.lay(entry(key));
    expect(keysOf(await new Outbox(factory).waiting())).toEqual(['cc', 'aa', 'bb']);
  });

  it('is left out while it is held, and told when it is let go', async () => {
    let told = 0;
    outbox.onChange(() => (told += 1));
    await outbox.lay(entry('aa'), true);
    expect(await outbox.waiting()).toEqual([]);
    outbox.release('aa');
    expect(keysOf(await outbox.waiting())).toEqual(['aa']);
    expect(told).toBe(2);
  });

  it('can be deleted unsent', async () => {
    await outbox.lay(entry('aa'));
    await outbox.lay(entry('bb'));
    await outbox.remove('aa');
    expect(keysOf(await outbox.waiting())).toEqual(['bb']);
  });
});

describe('sending', () => {
  it('goes oldest first and takes out what was stored', async () => {
    for (const key of ['aa', 'bb']) await outbox.lay(entry(key));
    const sent: string[] = [];
    const count = await outbox.sendAll(async ({ key }) => {
      sent.push(key);
      return { is: 'stored' };
    });
    expect(count).toBe(2);
    expect(sent).toEqual(['aa', 'bb']);
    expect(await outbox.waiting()).toEqual([]);
  });

  it('stops where the server is away, so that nothing overtakes, and sends the same key again later', async () => {
    for (const key of ['aa', 'bb', 'cc']) await outbox.lay(entry(key));
    const sent: string[] = [];
    const answers: Sent[] = [{ is: 'stored' }, { is: 'away' }, { is: 'stored' }, { is: 'stored' }];
    const send = async ({ key }: Waiting): Promise<Sent> => {
      sent.push(key);
      return answers.shift()!;
    };
    expect(await outbox.sendAll(send)).toBe(1);
    expect(keysOf(await outbox.waiting())).toEqual(['bb', 'cc']);
    expect(await outbox.sendAll(send)).toBe(2);
    expect(sent).toEqual(['aa', 'bb', 'bb', 'cc']);
  });

  it('keeps what is refused with the reason, sends the next, and does not send it again', async () => {
    for (const key of ['aa', 'bb']) await outbox.lay(entry(key));
    const sent: string[] = [];
    const send = async ({ key }: Waiting): Promise<Sent> => {
      sent.push(key);
      return key === 'aa' ? { is: 'refused', line: 'girth is "x"' } : { is: 'stored' };
    };
    await outbox.sendAll(send);
    await outbox.sendAll(send);
    expect(sent).toEqual(['aa', 'bb']);
    expect((await outbox.waiting()).map(({ key, refused }) => [key, refused])).toEqual([
      ['aa', 'girth is "x"'],
    ]);
  });

  it('happens once at a time: asked twice, each is sent once', async () => {
    await outbox.lay(entry('aa'));
    let sent = 0;
    const send = async (): Promise<Sent> => {
      sent += 1;
      await new Promise((resolve) => setTimeout(resolve, 5));
      return { is: 'stored' };
    };
    await Promise.all([outbox.sendAll(send), outbox.sendAll(send)]);
    expect(sent).toBe(1);
  });

  it('leaves alone what is held', async () => {
    await outbox.lay(entry('aa'), true);
    let sent = 0;
    await outbox.sendAll(async () => {
      sent += 1;
      return { is: 'stored' };
    });
    expect(sent).toBe(0);
  });
});
