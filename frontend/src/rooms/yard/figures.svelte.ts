/** Silhouettes by their names: fetched when they come into view, kept as long as the room. */

import { SvelteMap } from 'svelte/reactivity';

import { get } from '../../api/client';
import { drawnFigure, type DrawnFigure } from '../../core/plan/figures';

export interface BookFigure extends DrawnFigure {
  isSketch: boolean;
  words: string;
  left_mm: number;
  right_mm: number;
  top_mm: number;
}

const AT_ONCE = 40; // names in one question: the first ones are on screen while the others are drawn
const TRIES = 3;

export class FigureBook {
  #drawn = new SvelteMap<string, BookFigure>();
  #wanted = new Map<string, number>();
  #queue: string[] = [];
  #isAsking = false;

  /** The figure, if it is there. */
  of(key: string): BookFigure | undefined {
    return this.#drawn.get(key);
  }

  /** Asks for figures that are not there yet. */
  want(keys: readonly string[]): void {
    for (const key of keys) {
      if (this.#wanted.has(key)) continue;
      this.#wanted.set(key, 0);
      this.#queue.push(key);
    }
    if (!this.#isAsking) void this.#ask();
  }

  async #ask(): Promise<void> {
    this.#isAsking = true;
    while (this.#queue.length) {
      const keys = this.#queue.splice(0, AT_ONCE);
      try {
        const answer = await get('/api/figures', { query: { keys: keys.join(',') } });
        for (const figure of answer.figures) {
          const isSketch = figure.basis === 'plain';
          this.#drawn.set(figure.key, {
            ...drawnFigure(figure.strokes, isSketch),
            isSketch,
            words: figure.basis_words,
            left_mm: figure.left_mm,
            right_mm: figure.right_mm,
            top_mm: figure.top_mm,
          });
        }
        this.#queue.unshift(...answer.more);
      } catch {
        // the tree stands there as a name until it is asked for again
        const again = keys.filter((key) => (this.#wanted.get(key) ?? 0) + 1 < TRIES);
        keys.forEach((key) => this.#wanted.set(key, (this.#wanted.get(key) ?? 0) + 1));
        await new Promise((done) => setTimeout(done, 1500));
        this.#queue.push(...again);
      }
    }
    this.#isAsking = false;
  }
}
