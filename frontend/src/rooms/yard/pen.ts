/** What is written on the drawing: how wide words are, and the names of places. */

import type { Piece } from '../../core/plan/layout';
import { t } from '../../words/words.svelte';
import type { Bench, Plate, Spot } from './types';

const PLATE_TOP = 22; // px from a front edge to its name; a name of a tree may lie between

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
