/** Walking the plan with the arrow keys: along a bench, and from bench to bench as they lie on the drawing. */

import { project, type Layout } from './layout';

export type Step = 'left' | 'right' | 'up' | 'down' | 'first' | 'last';

/** Which way each key goes. */
export const STEP_OF_KEY: Readonly<Record<string, Step>> = {
  ArrowLeft: 'left',
  ArrowRight: 'right',
  ArrowUp: 'up',
  ArrowDown: 'down',
  Home: 'first',
  End: 'last',
};

interface Stop {
  tree: string;
  piece: number;
  x: number;
  y: number;
}

function stopsOf(layout: Layout): Stop[] {
  return layout.pieces.flatMap((piece, number) =>
    [...piece.spots]
      .sort((a, b) => a.x_mm - b.x_mm || a.y_mm - b.y_mm)
      .map((spot) => {
        const [x, y] = project(piece, layout.scale, spot.x_mm, spot.y_mm);
        return { tree: spot.tree, piece: number, x, y };
      }),
  );
}

/** The tree that a key leads to; the same one at the end of the way. */
export function walked(layout: Layout, from: string | null, step: Step): string | null {
  const stops = stopsOf(layout);
  const at = stops.findIndex((stop) => stop.tree === from);
  if (!stops.length) return null;
  if (at < 0) return stops[0]!.tree;
  const here = stops[at]!;
  switch (step) {
    case 'first':
    case 'last': {
      const row = stops.filter((stop) => stop.piece === here.piece);
      return (step === 'first' ? row[0]! : row.at(-1)!).tree;
    }
    case 'left':
    case 'right':
      return stops[Math.min(Math.max(at + (step === 'right' ? 1 : -1), 0), stops.length - 1)]!.tree;
    case 'up':
    case 'down': {
      const way = step === 'down' ? 1 : -1;
      const fronts = layout.pieces.map((piece) => piece.front);
      const beyond = stops.filter(
        (stop) => stop.piece !== here.piece && way * (fronts[stop.piece]! - fronts[here.piece]!) > 1,
      );
      if (!beyond.length) return here.tree;
      const next = Math.min(...beyond.map((stop) => way * fronts[stop.piece]!));
      const row = beyond.filter((stop) => way * fronts[stop.piece]! < next + 1);
      return row.reduce((best, stop) => (Math.abs(stop.x - here.x) < Math.abs(best.x - here.x) ? stop : best))
        .tree;
    }
  }
}
