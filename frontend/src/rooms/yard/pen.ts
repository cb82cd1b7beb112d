/** What is written on the drawing: how wide words are, the names of places and of the trees on them. */

import type { Wanted } from '../../core/plan/labels';
import { project, tableOf, type Piece } from '../../core/plan/layout';
import type { Box } from '../../core/plan/types';
import { t } from '../../words/words.svelte';
import type { Bench, Plate, Spot } from './types';

const PLATE_TOP = 22; // px from a front edge to its name; a name of a tree may lie between
const EDGE = 4; // px from the end of a bench to a name on it
/** Kept free to the right of the scale bars, in px. */
export const BAR_RIGHT = 10;

/** Measures words in the drawing's type; `_fonts` is read so that a font that has come is measured anew. */
export function penOf(size: number, _fonts: number): (words: string) => number {
  const context = document.createElement('canvas').getContext('2d');
  const known = new Map<string, number>();
  if (context) context.font = `500 ${size}px Barlow, system-ui, sans-serif`;
  return (words) => {
    const before = known.get(words);
    if (before !== undefined) return before;
    const measured = context ? context.measureText(words).width : words.length * size * 0.55;
    known.set(words, measured);
    return measured;
  };
}

/** The name of a place along its front edge. */
export function plateOf(piece: Piece<Spot>, pen: (words: string) => number, line: number): Plate {
  const bench = piece.bench as Bench;
  const name = bench.name || t('yard.nowhere');
  const kind = piece.isCutLeft
    ? t('yard.goes_on')
    : bench.name === '' || name.toLowerCase().includes(bench.kind_words.toLowerCase())
      ? ''
      : bench.kind_words;
  const wide = pen(kind ? `${name}  ${kind}` : name) + 8;
  const top = piece.front + PLATE_TOP;
  return { box: { left: piece.left, right: piece.left + wide, top, bottom: top + line + 2 }, name, kind };
}

/** What the scale bar beside the name of a place covers, with what it says; `right` is where it ends. */
export function barBoxOf({ box }: Plate, bar_px: number, right: number, line: number): Box {
  const middle = box.top + line / 2;
  return { left: right - bar_px - 4, right: right + 4, top: middle - 6, bottom: middle + line + 6 };
}

/** The names of the trees on a piece, wanted under their pots; the chosen tree's first, then where work is open. */
export function wantedOf(piece: Piece<Spot>, scale: number, chosen: string | null): Wanted[] {
  const { left, right } = tableOf(piece, scale);
  const bench = { left: left + EDGE, right: right - EDGE };
  return piece.spots.map((spot) => {
    const [x, y] = project(piece, scale, spot.x_mm, spot.y_mm);
    const rank = spot.tree === chosen ? 0 : { open: 1, soon: 2, blocked: 3, quiet: 3 }[spot.state];
    return { key: spot.tree, x, y: y + 4, name: spot.name, id: spot.tree, rank, bench, edge: piece.front };
  });
}
