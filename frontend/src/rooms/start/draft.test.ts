import { describe, expect, it } from 'vitest';

import { keepDraft, pageAfter, readDraft, shownPage } from './draft';

function shelf(kept: Record<string, string> = {}): { kept: Record<string, string>; storage: () => Storage } {
  const storage = {
    getItem: (key: string) => kept[key] ?? null,
    setItem: (key: string, text: string) => void (kept[key] = text),
    removeItem: (key: string) => void delete kept[key],
  };
  return { kept, storage: () => storage as unknown as Storage };
}

const EMPTY = { place: {}, weather: {}, tree: {} };

describe('a draft', () => {
  it('comes back after a reload as it was typed', () => {
    const { storage } = shelf();
    const draft = { place: { latitude: '52.4 ' }, weather: { coldest: '' }, tree: { name: 'Ahorn „Ö“' } };
    keepDraft(storage, draft);
    expect(readDraft(storage)).toEqual(draft);
  });

  it('leaves nothing behind once all is stored', () => {
    const { kept, storage } = shelf();
    keepDraft(storage, { ...EMPTY, tree: { name: 'a' } });
    keepDraft(storage, EMPTY);
    expect(kept).toEqual({});
  });

  it.each(['', 'null', '[', '7', '{"place":null,"tree":7}', '{"place":{"name":7},"other":{"a":"b"}}'])(
    'that does not read, %s, is empty',
    (text) => {
      const { storage } = shelf({ 'ringwise.start': text });
      expect(readDraft(storage)).toEqual(EMPTY);
    },
  );

  it('does without a storage that refuses', () => {
    const refuse = (): Storage => {
      throw new Error('refused');
    };
    expect(readDraft(refuse)).toEqual(EMPTY);
    expect(() => keepDraft(refuse, { ...EMPTY, tree: { name: 'a' } })).not.toThrow();
  });
});

describe('the page', () => {
  const asked = (text: string): URLSearchParams => new URLSearchParams(text);

  it('is the one asked for, else the next one that is needed', () => {
    expect(shownPage(asked(''), undefined)).toBeUndefined();
    expect(shownPage(asked(''), 'weather')).toBe('weather');
    expect(shownPage(asked('page=tree'), 'place')).toBe('tree');
    expect(shownPage(asked('page=nothing'), 'place')).toBe('place');
    expect(shownPage(asked('page=outlook'), 'done')).toBe('done');
    expect(shownPage(asked('page=outlook&tree=T01'), 'done')).toBe('outlook');
  });

  it('leads through all three to the end', () => {
    expect(pageAfter('place')).toBe('weather');
    expect(pageAfter('weather')).toBe('tree');
    expect(pageAfter('tree')).toBe('done');
  });
});
