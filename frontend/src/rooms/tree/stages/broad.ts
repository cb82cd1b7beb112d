/** Broadleaved trees from the sleeping bud to the bare twig. */

import { bud, folded, leaf, scar, twig, type LeafShape, type Stroke } from './strokes';

const TOP: [number, number] = [48, 62]; // where the end bud sits in the stages of the bud

function winterTwig(long: number, wide: number, more: Parameters<typeof bud>[3] | object = {}): Stroke[] {
  const side = { long: 17 + long * 0.1, wide: 9 + wide * 0.1 };
  return [
    twig(44, 97, ...TOP),
    ...scar(42.5, 83, 6, 7),
    ...bud(43, 80, -34, side),
    ...scar(52, 90, 0, 7),
    ...bud(50, 87, 38, side),
    ...bud(...TOP, 2, { long, wide, ...more }),
  ];
}

/** A shoot of this year above last year's wood, with leaves left and right. */
function shoot(
  leaves: readonly (readonly [share: number, turn: number, shape: LeafShape])[],
  end: Stroke[],
): Stroke[] {
  const at = (share: number): [number, number] => [46 + 4 * share, 92 - 56 * share];
  return [
    twig(45, 97, 46, 88, 7, 6),
    twig(46, 90, 50, 36, 3.4, 2.2),
    ...end,
    ...leaves.flatMap(([share, turn, shape]) => leaf(...at(share), turn, shape)),
  ];
}

const END: [number, number] = [50, 37];
const growingTip = [...folded(...END, -10, 17, 6, -1), ...folded(...END, 12, 15, 6, 1)];
const endBud = bud(...END, 2, { long: 15, wide: 10 });
const grown = (change: Partial<LeafShape> = {}): LeafShape => ({
  long: 34,
  wide: 22,
  veins: 4,
  stalk: 6,
  ...change,
});

const fullShoot = (change: Partial<LeafShape>, end: Stroke[]): Stroke[] =>
  shoot(
    [
      [0.16, -68, grown(change)],
      [0.38, 66, grown(change)],
      [0.66, -52, grown({ ...change, long: 30, wide: 19 })],
      [0.84, 48, grown({ ...change, long: 26, wide: 17 })],
    ],
    end,
  );

const bareTwig = (): Stroke[] => [
  twig(42, 97, 50, 34, 7, 4.5),
  ...scar(46.5, 70, 6, 8),
  ...bud(44, 66, -34, { long: 13, wide: 8 }),
  ...scar(46.5, 86, 6, 8),
  ...bud(49, 82, 40, { long: 13, wide: 8 }),
  ...scar(49, 52, 6, 7),
  ...bud(51, 49, 38, { long: 12, wide: 7.5 }),
  ...bud(50, 35, 4, { long: 22, wide: 13 }),
];

export const BROAD: Readonly<Record<string, () => Stroke[]>> = {
  '00': () => winterTwig(34, 19),
  '01': () => winterTwig(39, 26, { rims: true }),
  '03': () => winterTwig(44, 29, { open: 0.55 }),
  '07': () => winterTwig(42, 29, { open: 0.7, tip: 9 }),
  '09': () => [
    twig(44, 97, 48, 70),
    ...folded(47, 66, -9, 52, 9, -1),
    ...folded(49, 66, 10, 50, 9, 1),
    ...folded(48, 64, 1, 58, 7, 1),
    ...bud(48, 72, 2, { long: 34, wide: 27, open: 1, tip: 1 }),
  ],
  '10': () => [
    twig(44, 97, 48, 74),
    ...folded(46.5, 66, -34, 50, 13, -1),
    ...folded(49.5, 66, 36, 50, 13, 1),
    ...folded(48, 60, 2, 34, 8, 1),
    ...bud(48, 76, 2, { long: 26, wide: 26, open: 1, tip: 1 }),
  ],
  '11': () => [
    twig(44, 97, 47, 78),
    twig(47, 76, 49, 56, 3, 2.4),
    ...leaf(48, 66, -58, { long: 40, wide: 25, veins: 4, stalk: 4 }),
    ...folded(49, 58, 30, 40, 11, 1),
    ...folded(49, 57, -4, 36, 8, -1),
    ...bud(47, 80, 2, { long: 17, wide: 22, open: 1, tip: 1 }),
  ],
  '15': () =>
    shoot(
      [
        [0.14, -70, { long: 27, wide: 18, veins: 3 }],
        [0.36, 66, { long: 25, wide: 16, veins: 3 }],
        [0.6, -54, { long: 20, wide: 12, veins: 2 }],
        [0.8, 50, { long: 16, wide: 9, veins: 2, stalk: 3 }],
      ],
      growingTip,
    ),
  '19': () => fullShoot({ matter: 'soft' }, growingTip),
  H1: () => fullShoot({ matter: 'firm', veins: 5 }, growingTip),
  '91': () => [
    twig(42, 97, 48, 46, 5, 4),
    ...leaf(44, 82, -66, grown({ matter: 'firm' })),
    ...leaf(46, 70, 66, grown({ matter: 'firm' })),
    ...bud(45.5, 67, 34, { long: 10, wide: 6.5 }),
    ...bud(43, 79, -30, { long: 10, wide: 6.5 }),
    ...bud(48, 48, 4, { long: 34, wide: 19 }),
  ],
  '92': () => fullShoot({ matter: 'pale', stains: [0.3, 0.52, 0.68], veins: 3 }, endBud),
  '93': () => [
    ...shoot(
      [
        [0.2, -66, grown({ matter: 'pale', stains: [0.3, 0.5, 0.7] })],
        [0.74, -46, grown({ matter: 'pale', stains: [0.4, 0.6], long: 30, wide: 19 })],
      ],
      endBud,
    ),
    ...scar(47.5, 70, 4, 6),
    ...leaf(66, 84, 118, grown({ matter: 'pale', stains: [0.3, 0.5, 0.7], long: 28, wide: 18 })),
    { d: 'M56 62C66 60 74 64 72 70S60 74 62 80', matter: 'move' },
  ],
  '95': () => [
    ...shoot([[0.66, -52, grown({ matter: 'pale', stains: [0.2, 0.4, 0.5, 0.7] })]], endBud),
    ...scar(48, 74, 4, 6),
    ...scar(47, 84, 4, 6),
    ...scar(49.5, 52, 4, 6),
    ...leaf(62, 92, 74, grown({ matter: 'pale', stains: [0.3, 0.6], long: 26, wide: 13, stalk: 3 })),
    ...leaf(36, 93, -80, grown({ matter: 'pale', stains: [0.4, 0.7], long: 26, wide: 12, stalk: 3 })),
    { d: 'M60 56C68 60 62 68 70 76', matter: 'move' },
  ],
  '97': bareTwig,
};
