/** Conifers from the resting bud to the hard shoot, and on to the bare twig of those that drop their needles. */

import { along, bud, needles, placed, twig, type Matter, type Stroke } from './strokes';

const TOP: [number, number] = [48, 58];

/** Last year's shoot with its needles. */
function oldShoot(top: readonly [number, number] = TOP): Stroke[] {
  return [
    needles(44, 94, top[0] - 0.5, top[1] + 4, { count: 6, long: 24, lean: 52 }),
    twig(44, 97, top[0], top[1], 6, 4.5),
  ];
}

/** A brush of new needles out of the bud: how far they lean apart and how long they are. */
function brush(long: number, spread: number, count: number, matter: Matter = 'fresh'): Stroke[] {
  let d = '';
  for (let i = 0; i < count; i += 1) {
    const share = count > 1 ? (i / (count - 1)) * 2 - 1 : 0;
    const [x, y] = along(TOP[0] + share * 4, TOP[1] - 8, share * spread, long * (1 - 0.14 * share * share));
    d += `M${(TOP[0] + share * 4).toFixed(1)} ${TOP[1] - 6}L${x.toFixed(1)} ${y.toFixed(1)}`;
  }
  return [{ d, matter }];
}

const cup = (open: number): Stroke[] =>
  bud(TOP[0], TOP[1] + 2, 2, { long: 20, wide: 22, open, tip: 0.1 }).filter(
    (stroke) => stroke.matter === 'scale',
  );

/** A new shoot above last year's, its needles standing off. */
function newShoot(long: number, matter: Matter, end: Stroke[], lean = 48): Stroke[] {
  const top: [number, number] = [50, 30];
  return [
    needles(44, 95, 46, 76, { count: 4, long: 26, lean: 56 }),
    twig(44, 97, 47, 70, 6, 5),
    needles(47, 70, ...top, { count: 8, long, lean, matter }),
    twig(47, 71, ...top, 3.2, 2.4),
    ...end,
  ];
}

const softTip: Stroke[] = [
  { d: 'M50 30L44 16M50 30L47.5 12M50 30L51 11M50 30L54.5 13M50 30L57 17', matter: 'fresh' },
];
const setBud = [
  ...bud(46.5, 31, -26, { long: 11, wide: 8 }),
  ...bud(53.5, 31, 30, { long: 11, wide: 8 }),
  ...bud(50, 32, 2, { long: 18, wide: 12 }),
];

/** A shoot of a conifer that drops its needles: tufts on short spurs. */
function tufts(shown: (i: number) => boolean, stained: boolean): Stroke[] {
  const foots: [number, number, number][] = [
    [44, 86, -58],
    [46, 76, 60],
    [46, 66, -56],
    [48, 54, 58],
    [48.5, 44, -50],
  ];
  return [
    twig(43, 97, 50, 32, 6, 4),
    ...foots.flatMap(([x, y, turn], i): Stroke[] => {
      const spur: Stroke = { d: 'M-3 0C-3.4 -6 3.4 -6 3 0Z', matter: 'scale', at: placed(x, y, turn) };
      if (!shown(i)) return [spur];
      const rays = [-56, -28, 0, 28, 56].map((ray) => {
        const [tx, ty] = along(0, -4, ray, 19);
        return `M0 -4L${tx.toFixed(1)} ${ty.toFixed(1)}`;
      });
      const tuft: Stroke = { d: rays.join(''), matter: 'needle', at: placed(x, y, turn) };
      const tips = stained
        ? [
            {
              d: rays
                .map((ray) => ray.replace(/^M0 -4L/, 'M'))
                .map((end) => `${end}h0.1`)
                .join(''),
              matter: 'stain' as const,
              at: tuft.at!,
            },
          ]
        : [];
      return [tuft, ...tips, spur];
    }),
    ...bud(50, 33, 4, { long: 17, wide: 11 }),
  ];
}

export const CONIFER: Readonly<Record<string, () => Stroke[]>> = {
  '00': () => [...oldShoot(), ...bud(...TOP, 2, { long: 24, wide: 16 })],
  '01': () => [...oldShoot(), ...bud(...TOP, 2, { long: 29, wide: 22, rims: true })],
  '03': () => [...oldShoot(), ...bud(...TOP, 2, { long: 42, wide: 24, open: 0.35 })],
  '07': () => [...oldShoot(), ...bud(...TOP, 2, { long: 38, wide: 25, open: 0.6, tip: 9 })],
  '09': () => [...oldShoot(), ...brush(44, 10, 7), ...cup(0.9)],
  '10': () => [...oldShoot(), ...brush(44, 30, 9), ...cup(1)],
  '11': () => [...oldShoot(), ...brush(44, 66, 11), ...cup(1)],
  '15': () => newShoot(15, 'fresh', softTip, 42),
  '19': () => newShoot(27, 'fresh', softTip, 48),
  H1: () =>
    newShoot(
      27,
      'hard',
      softTip.map((stroke) => ({ ...stroke, matter: 'hard' as const })),
      52,
    ),
  '91': () => newShoot(26, 'hard', setBud, 54),
  '92': () => tufts(() => true, true),
  '93': () => [
    ...tufts((i) => i !== 1, true),
    { d: 'M70 62l8 16M78 72l2 16M66 78l-2 14', matter: 'needle' },
    { d: 'M62 66C66 70 64 74 70 78', matter: 'move' },
  ],
  '95': () => [
    ...tufts((i) => i === 2 || i === 4, true),
    { d: 'M66 60l8 14M76 76l-2 15M64 92h16M26 92h14M82 90l-12 4', matter: 'needle' },
  ],
  '97': () => tufts(() => false, false),
};
