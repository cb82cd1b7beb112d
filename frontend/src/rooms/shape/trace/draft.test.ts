import { describe, expect, it } from 'vitest';

import {
  clicksOf,
  draftOf,
  emptyDraft,
  heightOf,
  keepDraft,
  lacking,
  lengthOf,
  levelOf,
  nearestBranch,
  nextId,
  readDraft,
  withoutBranch,
  withPlaces,
  type Draft,
  type PhotoDraft,
} from './draft';

const photo: PhotoDraft = {
  entry: 'e1',
  width_px: 200,
  height_px: 300,
  sha256: 'a'.repeat(64),
  clock: 6,
  kind: 'rule',
  scale: [
    [20, 280],
    [120, 280],
  ],
  length: '20 cm',
  focal: '',
};

function traced(): Draft {
  const draft = withPlaces({ ...emptyDraft(), photos: { front: photo } }, 'trunk', 'front', [
    [100, 270],
    [100, 50],
  ]);
  return {
    ...draft,
    branches: [
      ...draft.branches,
      {
        id: 'b1',
        parent: 'trunk',
        front: [
          [101, 150],
          [160, 120],
        ],
        side: [],
        edges: {},
      },
      { id: 'b2', parent: 'b1', front: [[140, 130]], side: [], edges: {} },
    ],
  };
}

function storage() {
  const held = new Map<string, string>();
  return {
    getItem: (key: string) => held.get(key) ?? null,
    setItem: (key: string, value: string) => void held.set(key, value),
    removeItem: (key: string) => void held.delete(key),
  };
}

describe('the draft of a trace', () => {
  it('survives a reload, by tree', () => {
    const kept = storage();
    keepDraft(() => kept, 'T01', traced());
    expect(readDraft(() => kept, 'T01')).toEqual(traced());
    expect(readDraft(() => kept, 'T02')).toEqual(emptyDraft());
    keepDraft(() => kept, 'T01', emptyDraft());
    expect(kept.getItem('ringwise.trace.T01')).toBeNull();
  });

  it('is empty where what was kept does not read', () => {
    const kept = storage();
    kept.setItem('ringwise.trace.T01', '{"photos":');
    expect(readDraft(() => kept, 'T01')).toEqual(emptyDraft());
  });

  it('says what is missing, in the order of the work', () => {
    expect(lacking(emptyDraft())).toBe('photo');
    expect(lacking({ ...traced(), photos: { front: { ...photo, length: 'wide' } } })).toBe('scale');
    expect(lacking(withPlaces(traced(), 'trunk', 'front', [[1, 1]]))).toBe('trunk');
    expect(lacking(traced())).toBe('');
  });

  it('sends whole branches only, in mm', () => {
    const sent = clicksOf(traced());
    expect(sent.branches.map((each) => each.id)).toEqual(['trunk', 'b1']);
    expect(sent.photos['front']).toMatchObject({ scale: { length_mm: 200 } });
    expect(sent.entries).toEqual({ front: 'e1' });
  });

  it('lies on the table again as it was kept, whatever its branches were called', () => {
    const branch = (id: string, parent: string | null, front: number[][]) => ({
      ...{ id, parent, front },
      side: [],
      edges: {},
    });
    const { entry, sha256, clock, width_px, height_px } = photo;
    const kept = {
      day_shown: '3 Mar 2027',
      photos: {
        front: {
          ...{ entry, sha256, clock, width_px, height_px },
          scale: {
            kind: 'rim' as const,
            points: [
              [20, 280],
              [120, 281],
            ],
            length_mm: 122.5,
            in_front_mm: 4,
          },
          focal_35mm_mm: 26,
          rim: null,
          soil: [
            [0, 280],
            [199, 282],
          ],
        },
      },
      branches: [
        branch('b0', null, [
          [100, 270],
          [100, 50],
        ]),
        {
          ...branch('trunk', 'b0', [
            [101, 150],
            [160, 120],
          ]),
          edges: {
            front: [
              [
                [1, 2],
                [3, 4],
              ],
            ],
          },
        },
        branch('b9', 'trunk', [
          [140, 130],
          [150, 90],
        ]),
      ],
    };
    const draft = draftOf(kept);
    expect(draft.branches.map((each) => [each.id, each.parent])).toEqual([
      ['trunk', null],
      ['b1', 'trunk'],
      ['b2', 'b1'],
    ]);
    expect(nextId(draft)).toBe('b3');
    expect(lacking(draft)).toBe('');
    const sent = clicksOf(draft);
    expect(sent.entries).toEqual({ front: 'e1' });
    expect(sent.photos['front']).toMatchObject({
      scale: kept.photos.front.scale,
      focal_35mm_mm: 26,
      rim: null,
      soil: kept.photos.front.soil,
    });
    expect(sent.branches[1]!.edges).toEqual({
      front: [
        [
          [1, 2],
          [3, 4],
        ],
      ],
    });
    expect(sent.branches[1]).toMatchObject({
      front: [
        [101, 150],
        [160, 120],
      ],
      edges: {
        front: [
          [
            [1, 2],
            [3, 4],
          ],
        ],
      },
    });
  });

  it('takes a branch away with all that stands on it', () => {
    expect(withoutBranch(traced(), 'b1').branches.map((each) => each.id)).toEqual(['trunk']);
    expect(withoutBranch(traced(), 'trunk').branches).toEqual(emptyDraft().branches);
    expect(nextId(traced())).toBe('b3');
  });
});

describe('a place', () => {
  it('has a height by the scale, and a height its level', () => {
    expect(heightOf(traced(), 'front', [160, 120])).toBeCloseTo(300); // 150 px at 2 mm each
    expect(levelOf(traced(), 'front', 300)).toBeCloseTo(120);
    expect(heightOf(traced(), 'side', [160, 120])).toBeNull();
  });
  it('belongs to the nearest branch', () => {
    expect(nearestBranch(traced(), 'front', [150, 124], 'b2')).toBe('b1');
    expect(nearestBranch(traced(), 'front', [98, 250], 'b2')).toBe('trunk');
  });
});

it('a length is read with its unit', () => {
  expect(lengthOf('24 cm')).toBe(240);
  expect(lengthOf('240 mm')).toBe(240);
  expect(lengthOf('240')).toBeNull(); // the form gives a bare number the reader's unit
  expect(lengthOf('1,5 m')).toBe(1500);
  expect(lengthOf('10in')).toBeCloseTo(254);
  expect(lengthOf('wide')).toBeNull();
  expect(lengthOf('0 mm')).toBeNull();
});
