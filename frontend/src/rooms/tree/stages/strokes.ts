/** The few strokes that twigs, buds, leaves and needles are drawn with; every drawing is 96 by 96. */

/** What a stroke shows; the tone follows it. */
export type Matter =
  | 'bark'
  | 'scale'
  | 'inner'
  | 'rim'
  | 'soft'
  | 'firm'
  | 'pale'
  | 'vein'
  | 'needle'
  | 'fresh'
  | 'hard'
  | 'stain'
  | 'scar'
  | 'move';

export interface Stroke {
  readonly d: string;
  readonly matter: Matter;
  /** Where its own 0, 0 lies, turned by degrees clockwise. */
  readonly at?: string;
}

const n = (value: number) => String(Math.round(value * 10) / 10 || 0);

/** A place on the drawing, with a turn. */
export function placed(x: number, y: number, turn = 0): string {
  return `translate(${n(x)} ${n(y)}) rotate(${n(turn)})`;
}

/** A point from a foot, along a direction (degrees clockwise from straight up). */
export function along(x: number, y: number, turn: number, far: number): [number, number] {
  const angle = (turn * Math.PI) / 180;
  return [x + far * Math.sin(angle), y - far * Math.cos(angle)];
}

/** An outline that is pointed above and round below, its foot at 0, 0. */
function drop(long: number, wide: number): string {
  const w = wide * 0.66;
  return `M0 0C${n(w)} ${n(-long * 0.08)} ${n(w)} ${n(-long * 0.6)} 0 ${n(-long)}C${n(-w)} ${n(-long * 0.6)} ${n(-w)} ${n(-long * 0.08)} 0 0Z`;
}

/** A twig from foot to tip, thinner above, with the buds' knees left to the caller. */
export function twig(x0: number, y0: number, x1: number, y1: number, low = 7, high = 5): Stroke {
  const far = Math.hypot(x1 - x0, y1 - y0) || 1;
  const [px, py] = [-(y1 - y0) / far / 2, (x1 - x0) / far / 2];
  const corner = (x: number, y: number, wide: number) => `${n(x + px * wide)} ${n(y + py * wide)}`;
  return {
    d: `M${corner(x0, y0, low)}L${corner(x1, y1, high)}L${corner(x1, y1, -high)}L${corner(x0, y0, -low)}`,
    matter: 'bark',
  };
}

export interface BudShape {
  long: number;
  wide: number;
  /** How far the scales stand apart: 0 shut, 1 open. */
  open?: number;
  /** Pale rims where scales have slid on each other. */
  rims?: boolean;
  /** How far the leaves' tip stands above the scales. */
  tip?: number;
}

/** A bud with overlapping scales; what grows out of it stands behind them. */
export function bud(x: number, y: number, turn: number, shape: BudShape): Stroke[] {
  const { long, wide, open = 0, rims = false, tip = 0 } = shape;
  const at = placed(x, y, turn);
  const strokes: Stroke[] = [];
  if (tip > 0) strokes.push({ d: drop(long + tip, wide * 0.62), matter: 'soft', at });
  if (open > 0) {
    strokes.push({ d: drop(long * 0.98, wide * 0.82), matter: tip > 0 ? 'soft' : 'inner', at });
    for (const side of [-1, 1]) {
      const lean = side * open * 17;
      const [sx, sy] = [side * wide * 0.2, 0];
      const turned = placed(...along(x, y, turn, 0), turn);
      strokes.push({
        d: drop(long * (0.86 - open * 0.1), wide * 0.5),
        matter: 'scale',
        at: `${turned} translate(${n(sx)} ${n(sy)}) rotate(${n(lean)})`,
      });
    }
    strokes.push({ d: drop(long * (0.48 - open * 0.06), wide * 0.62), matter: 'scale', at });
    return strokes;
  }
  strokes.push({ d: drop(long, wide), matter: 'scale', at });
  // three pairs of scales: each edge runs from one side of the bud to its middle line
  const half = wide * 0.47;
  const edges = [0.16, 0.36, 0.58].map((share, i) => {
    const side = i % 2 ? -1 : 1;
    const wider = half * (rims ? 0.86 : 1) * (1 - share * 0.72);
    return `M${n(side * wider)} ${n(-long * share)}C${n(side * wider * 0.7)} ${n(-long * (share + 0.2))} ${n(side * wider * 0.1)} ${n(-long * (share + 0.26))} ${n(-side * wider * 0.5)} ${n(-long * (share + 0.3))}`;
  });
  if (rims) strokes.push(...edges.map((d): Stroke => ({ d, matter: 'rim', at })));
  strokes.push(...edges.map((d): Stroke => ({ d, matter: 'vein', at })));
  return strokes;
}

export interface LeafShape {
  long: number;
  wide: number;
  /** Soft while it grows, firm once it snaps. */
  matter?: 'soft' | 'firm' | 'pale';
  /** Pairs of side veins. */
  veins?: number;
  /** Where it is coloured, as shares of its length. */
  stains?: readonly number[];
  stalk?: number;
}

/** A leaf in its shape, its stalk's foot at a point. */
export function leaf(x: number, y: number, turn: number, shape: LeafShape): Stroke[] {
  const { long, wide, matter = 'soft', veins = 3, stains = [], stalk = 5 } = shape;
  const foot = placed(x, y, turn);
  const at = `${foot} translate(0 ${n(-stalk)})`;
  const w = wide * 0.64;
  const outline = `M0 0C${n(w)} ${n(-long * 0.06)} ${n(w)} ${n(-long * 0.58)} 0 ${n(-long)}C${n(-w)} ${n(-long * 0.58)} ${n(-w)} ${n(-long * 0.06)} 0 0Z`;
  const strokes: Stroke[] = [
    { d: `M0 0V${n(-stalk)}`, matter: 'vein', at: foot },
    { d: outline, matter, at },
  ];
  for (const share of stains) {
    const side = Math.round(share * 10) % 2 ? 1 : -1;
    const r = wide * 0.17;
    strokes.push({
      d: `M${n(side * wide * 0.26)} ${n(-long * share)}m${n(-r)} 0a${n(r)} ${n(r * 1.3)} 0 1 0 ${n(2 * r)} 0a${n(r)} ${n(r * 1.3)} 0 1 0 ${n(-2 * r)} 0`,
      matter: 'stain',
      at,
    });
  }
  let lines = `M0 0V${n(-long * 0.9)}`;
  for (let i = 1; i <= veins; i += 1) {
    const y0 = (-long * (i - 0.35)) / (veins + 1);
    const reach = wide * 0.36 * Math.sin((Math.PI * (i + 0.6)) / (veins + 2));
    for (const side of [-1, 1]) lines += `M0 ${n(y0)}L${n(side * reach)} ${n(y0 - long * 0.13)}`;
  }
  strokes.push({ d: lines, matter: 'vein', at });
  return strokes;
}

/** A leaf that is still folded along its middle: half a leaf, its back edge straight. */
export function folded(
  x: number,
  y: number,
  turn: number,
  long: number,
  wide: number,
  side: 1 | -1,
): Stroke[] {
  const w = side * wide;
  return [
    {
      d: `M0 0C${n(w * 1.15)} ${n(-long * 0.1)} ${n(w)} ${n(-long * 0.72)} 0 ${n(-long)}C${n(-w * 0.14)} ${n(-long * 0.6)} ${n(-w * 0.1)} ${n(-long * 0.3)} 0 0Z`,
      matter: 'soft',
      at: placed(x, y, turn),
    },
    {
      d: `M${n(w * 0.06)} ${n(-long * 0.12)}L${n(w * 0.5)} ${n(-long * 0.42)}M${n(w * 0.04)} ${n(-long * 0.34)}L${n(w * 0.48)} ${n(-long * 0.64)}`,
      matter: 'vein',
      at: placed(x, y, turn),
    },
  ];
}

/** The scar that a leaf leaves below its bud: a shield with three dots. */
export function scar(x: number, y: number, turn: number, wide = 8): Stroke[] {
  const w = wide / 2;
  const dot = (dx: number, dy: number) => `M${n(dx - 0.4)} ${n(dy)}h0.8`;
  return [
    {
      d: `M${n(-w)} -1C${n(-w)} 5 ${n(w)} 5 ${n(w)} -1C${n(w * 0.5)} 1.4 ${n(-w * 0.5)} 1.4 ${n(-w)} -1Z`,
      matter: 'scar',
      at: placed(x, y, turn),
    },
    { d: dot(-w * 0.5, 1.6) + dot(0, 2.6) + dot(w * 0.5, 1.6), matter: 'vein', at: placed(x, y, turn) },
  ];
}

/** Needles along a shoot on both sides, as single lines; `share` of them are drawn. */
export function needles(
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  shape: { count: number; long: number; lean: number; matter?: Matter; skip?: (i: number) => boolean },
): Stroke {
  const { count, long, lean, matter = 'needle', skip } = shape;
  const turn = (Math.atan2(x1 - x0, y0 - y1) * 180) / Math.PI;
  let d = '';
  for (let i = 0; i < count; i += 1) {
    const share = count > 1 ? i / (count - 1) : 0;
    const [x, y] = [x0 + (x1 - x0) * share, y0 + (y1 - y0) * share];
    for (const side of [-1, 1]) {
      if (skip?.(i * 2 + (side > 0 ? 1 : 0))) continue;
      const [tx, ty] = along(x, y, turn + side * lean, long);
      d += `M${n(x)} ${n(y)}L${n(tx)} ${n(ty)}`;
    }
  }
  return { d, matter };
}
