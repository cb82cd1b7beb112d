import { describe, expect, it } from 'vitest';

import { barOf } from './bar';
import { drawnFigure, potPath, ribbon, turn } from './figures';
import {
  boxOf,
  cutsOf,
  dropTarget,
  fitScale,
  foldedLayout,
  NARROW_MARGINS,
  planLayout,
  project,
  tableOf,
  treeAt,
  unproject,
  DEPTH_RATIO,
} from './layout';
import { freePlace, lengthOf, lengthShown } from './places';
import { overlaps, type PlanBench, type PlanSpot } from './types';
import { walked } from './walk';

function spot(tree: string, x_mm: number, more: Partial<PlanSpot> = {}): PlanSpot {
  return {
    tree,
    name: `Tree ${tree}`,
    x_mm,
    y_mm: 300,
    width_mm: 500,
    height_mm: 600,
    pot_length_mm: 300,
    pot_depth_mm: 100,
    state: 'quiet',
    ...more,
  };
}

/** A front bench of eight trees, a short shelf beside it, and a bed of whips behind both. */
const benches: PlanBench[] = [
  {
    name: 'front',
    x_mm: 0,
    y_mm: 0,
    length_mm: 4800,
    depth_mm: 600,
    spots: Array.from({ length: 8 }, (_, i) => spot(`F${i}`, 300 + 600 * i)),
  },
  { name: 'shelf', x_mm: 5600, y_mm: 0, length_mm: 1800, depth_mm: 600, spots: [spot('S0', 900)] },
  {
    name: 'bed',
    x_mm: 0,
    y_mm: 2000,
    length_mm: 4000,
    depth_mm: 1500,
    spots: [
      spot('B0', 800, { height_mm: 2300, y_mm: 700 }),
      spot('B1', 3000, { height_mm: 2100, y_mm: 700 }),
    ],
  },
];

const layouts = [
  ['the plan at 0.05', planLayout(benches, 0.05)],
  ['the plan at 0.4', planLayout(benches, 0.4)],
  ['bench by bench at 0.143', foldedLayout(benches, 0.143, 390)],
  ['bench by bench, very near', foldedLayout(benches, 0.6, 390)],
] as const;

describe.each(layouts)('%s', (_name, layout) => {
  it('finds every point of a place again where it was drawn', () => {
    for (const piece of layout.pieces) {
      for (const [x_mm, y_mm] of [
        [piece.from_mm, 0],
        [(piece.from_mm + piece.to_mm) / 2, piece.bench.depth_mm / 3],
        [piece.to_mm, piece.bench.depth_mm],
      ] as const) {
        const [x, y] = project(piece, layout.scale, x_mm, y_mm);
        const [backX, backY] = unproject(piece, layout.scale, x, y);
        expect(backX).toBeCloseTo(x_mm, 6);
        expect(backY).toBeCloseTo(y_mm, 6);
      }
    }
  });

  it('drops on the spot where a tree stands mean that spot', () => {
    for (const piece of layout.pieces) {
      for (const each of piece.spots) {
        const target = dropTarget(layout, ...project(piece, layout.scale, each.x_mm, each.y_mm));
        expect(target).toEqual({ kind: 'bench', bench: piece.bench.name, x_mm: each.x_mm, y_mm: each.y_mm });
      }
    }
  });

  it('draws every tree once and keeps all of it on the sheet', () => {
    const drawn = layout.pieces.flatMap((piece) => piece.spots.map((each) => each.tree));
    expect(drawn.toSorted()).toEqual(benches.flatMap((b) => b.spots.map((s) => s.tree)).toSorted());
    for (const piece of layout.pieces) {
      expect(tableOf(piece, layout.scale).bottom).toBeLessThan(layout.height);
      for (const each of piece.spots) {
        const box = boxOf(piece, each, layout.scale, 0);
        expect(box.top).toBeGreaterThanOrEqual(0);
        expect(box.bottom).toBeLessThanOrEqual(layout.height);
      }
    }
  });

  it('holds one scale: lengths along a bench and heights are as true as each other', () => {
    for (const piece of layout.pieces) {
      const [x, y] = project(piece, layout.scale, piece.from_mm + 100, 0, 100);
      expect(x - piece.left).toBeCloseTo(100 * layout.scale, 6);
      expect(piece.front - y).toBeCloseTo(100 * layout.scale, 6);
    }
  });

  it('walks to every tree with left and right, and back', () => {
    const all = benches.flatMap((b) => b.spots).length;
    const way = [walked(layout, null, 'right')!];
    for (let i = 1; i < all; i += 1) way.push(walked(layout, way.at(-1)!, 'right')!);
    expect(new Set(way).size).toBe(all);
    expect(walked(layout, way.at(-1)!, 'right')).toBe(way.at(-1));
    expect(walked(layout, way[1]!, 'left')).toBe(way[0]);
  });
});

describe('the plan', () => {
  const layout = planLayout(benches, 0.2);

  it('is drawn from the back to the front, depth shortened', () => {
    expect(layout.pieces.map((piece) => piece.bench.name)).toEqual(['bed', 'front', 'shelf']);
    const [bed, front] = layout.pieces;
    expect(front!.front - bed!.front).toBeCloseTo(2000 * DEPTH_RATIO * 0.2, 6);
  });

  it('fills the width at the fitting scale', () => {
    for (const width of [390, 1280]) {
      expect(planLayout(benches, fitScale(benches, width)).width).toBeCloseTo(width, 6);
    }
  });

  it('has free ground, told in the mm of the yard', () => {
    const bed = layout.pieces[0]!;
    const [x, y] = project(bed, 0.2, 4500, 700);
    expect(dropTarget(layout, x, y)).toMatchObject({ kind: 'ground' });
    const target = dropTarget(layout, x, y);
    expect(target?.x_mm).toBeCloseTo(4500, 3);
    expect(target?.y_mm).toBeCloseTo(2700, 3);
  });

  it('keeps a drop just beside a table on it', () => {
    const front = layout.pieces[1]!;
    const [x, y] = project(front, 0.2, 0, 0);
    expect(dropTarget(layout, x - 10, y + 10)).toEqual({ kind: 'bench', bench: 'front', x_mm: 0, y_mm: 0 });
  });

  it('gives the tree in front where two overlap', () => {
    const rows: PlanBench[] = [
      { name: 'a', x_mm: 0, y_mm: 0, length_mm: 2000, depth_mm: 600, spots: [spot('near', 1000)] },
      { name: 'b', x_mm: 0, y_mm: 700, length_mm: 2000, depth_mm: 600, spots: [spot('far', 1000)] },
    ];
    const tight = planLayout(rows, 0.2);
    const near = tight.pieces[1]!;
    const far = tight.pieces[0]!;
    const [x, y] = project(near, 0.2, 1000, 300, 500);
    expect(overlaps({ left: x, right: x + 1, top: y, bottom: y + 1 }, boxOf(far, far.spots[0]!, 0.2))).toBe(
      true,
    );
    expect(treeAt(tight, x, y)?.tree).toBe('near');
    expect(treeAt(tight, 1, 1)).toBeUndefined();
  });

  it('goes up and down between rows to the tree that stands nearest', () => {
    expect(walked(layout, 'B0', 'down')).toBe('F1');
    expect(walked(layout, 'F6', 'up')).toBe('B1');
    expect(walked(layout, 'B0', 'up')).toBe('B0');
    expect(walked(layout, 'F3', 'first')).toBe('F0');
    expect(walked(layout, 'F3', 'last')).toBe('F7');
    expect(walked(layout, 'gone', 'right')).toBe('B0');
    expect(walked(planLayout([], 0.2), null, 'right')).toBeNull();
  });
});

describe('bench by bench', () => {
  const layout = foldedLayout(benches, 0.143, 390);
  const room_mm = (390 - 2 * NARROW_MARGINS.side) / 0.143;

  it('begins with the bench in front and never leaves the screen', () => {
    expect(layout.pieces[0]!.bench.name).toBe('front');
    for (const piece of layout.pieces) {
      expect(tableOf(piece, 0.143).right).toBeLessThanOrEqual(390 - NARROW_MARGINS.side + 1e-6);
    }
  });

  it('cuts a long bench between two trees, without a gap and without a rest', () => {
    const cuts = cutsOf(benches[0]!, room_mm);
    expect(cuts[0]).toBe(0);
    expect(cuts.at(-1)).toBe(4800);
    expect(cuts.length).toBe(3);
    for (const cut of cuts.slice(1, -1)) {
      for (const each of benches[0]!.spots) {
        expect(Math.abs(cut - each.x_mm)).toBeGreaterThanOrEqual(each.width_mm / 2);
      }
    }
    expect(
      layout.pieces.filter((p) => p.bench.name === 'front').map((p) => [p.isCutLeft, p.isCutRight]),
    ).toEqual([
      [false, true],
      [true, false],
    ]);
  });

  it('cuts an empty bench and one that is crowded beyond parting, too', () => {
    expect(
      cutsOf({ ...benches[0]!, spots: [] }, 1000).every(
        (cut, i, all) => i === 0 || cut - all[i - 1]! <= 1000,
      ),
    ).toBe(true);
    const crowd = Array.from({ length: 4 }, (_, i) => spot(`C${i}`, 100 * i, { width_mm: 4000 }));
    expect(cutsOf({ ...benches[0]!, spots: crowd }, 1000).at(-1)).toBe(4800);
  });

  it('knows no free ground', () => {
    expect(dropTarget(layout, 300, layout.pieces[0]!.front + 50)).toBeUndefined();
  });

  it('leaves room for the tallest tree of each piece', () => {
    for (const [i, piece] of layout.pieces.entries()) {
      const above = layout.pieces[i - 1];
      if (!above) continue;
      for (const each of piece.spots) {
        expect(boxOf(piece, each, 0.143, 0).top).toBeGreaterThanOrEqual(above.front + NARROW_MARGINS.plate);
      }
    }
  });
});

describe('silhouettes', () => {
  const square = [0, 0, 10, 0, 10, 10, 0, 10];
  const turned = [0, 0, 0, 10, 10, 10, 10, 0];

  it('turn all one way, so that none cuts a hole into another', () => {
    expect(turn(square)).toBe(200);
    expect(turn(turned)).toBe(-200);
    const { wood } = drawnFigure(
      [square, turned].map((points) => ({ points, width_mm: 0, tone: 'wood' as const })),
      false,
    );
    const areas = wood
      .split('M')
      .filter(Boolean)
      .map((part) => turn(part.replace('Z', '').split(/[L ]/).map(Number)));
    expect(areas.map(Math.abs)).toEqual([200, 200]);
    expect(Math.sign(areas[0]!)).toBe(Math.sign(areas[1]!));
  });

  it('draw lines as wide as they are', () => {
    expect(Math.abs(turn(ribbon([0, 0, 100, 0], 4))) / 2).toBeCloseTo(400, 6);
    expect(ribbon([3, 3], 4)).toEqual([]);
  });

  it('claim no branch in a sketch: the crown and the trunk alone', () => {
    const strokes = [
      { points: square, width_mm: 0, tone: 'crown' as const },
      { points: [0, 0, 50, 50], width_mm: 3, tone: 'wood' as const },
      { points: turned, width_mm: 0, tone: 'wood' as const },
    ];
    expect(drawnFigure(strokes, true).wood.match(/M/g)).toHaveLength(1);
    expect(drawnFigure(strokes, false).wood.match(/M/g)).toHaveLength(2);
    const crown = drawnFigure(strokes, true).crown;
    expect(crown.match(/Q/g)).toHaveLength(4);
    // a rounded corner stays inside the corner
    const numbers = crown.match(/-?\d+(\.\d+)?/g)!.map(Number);
    expect(Math.min(...numbers)).toBe(-10);
    expect(Math.max(...numbers)).toBe(10);
  });

  it('stand on pots of their true size', () => {
    const numbers = potPath(420, 75)
      .match(/-?\d+(\.\d+)?/g)!
      .map(Number);
    expect(Math.max(...numbers.filter((_, i) => i % 2 === 0))).toBe(210);
    expect(Math.max(...numbers.filter((_, i) => i % 2 === 1))).toBe(75);
  });
});

describe('lengths', () => {
  it.each([
    [0.19, 'metric', '1 m'],
    [0.05, 'metric', '1 m'],
    [0.02, 'metric', '2 m'],
    [0.9, 'metric', '20 cm'],
    [0.19, 'inch', '3 ft'],
    [0.6, 'inch', '1 ft'],
    [0.0001, 'metric', '10 m'],
  ] as const)('the bar at %f px per mm in %s is %s', (scale, units, said) => {
    const bar = barOf(scale, units);
    expect(`${bar.value} ${bar.unit}`).toBe(said);
  });

  it('the bar is as long as it says', () => {
    expect(barOf(0.1, 'metric').px).toBeCloseTo(100, 6);
    expect(barOf(0.1, 'inch').px).toBeCloseTo(3 * 30.48, 6); // a foot is 304.8 mm by definition
  });

  it.each([
    ['60', 'metric', 600],
    ['60,5', 'metric', 605],
    [' -12.5 ', 'metric', -125],
    ['24', 'inch', 610],
    ['', 'metric', undefined],
    ['six', 'metric', undefined],
    ['6 m', 'metric', undefined],
  ] as const)('%j in %s is %s mm', (typed, units, mm) => {
    expect(lengthOf(typed, units)).toBe(mm);
  });

  it.each([600, 1234, -50, 2400])('%i mm is read again as it is shown', (mm) => {
    expect(lengthOf(lengthShown(mm, 'metric', 'de'), 'metric')).toBe(mm);
    expect(lengthOf(lengthShown(mm, 'metric', 'en'), 'metric')).toBe(mm);
  });

  it('a new place finds free ground behind all others', () => {
    const { x_mm, y_mm } = freePlace(benches, 1300);
    expect([x_mm, y_mm]).toEqual([0, 4800]);
    expect(freePlace([], 1300)).toEqual({ x_mm: 0, y_mm: 0 });
  });
});
