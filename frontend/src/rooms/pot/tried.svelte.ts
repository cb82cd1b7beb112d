/** What is tried of a pot, and the newest answer to it: one question is under way, and the last wish wins. */

import { untrack } from 'svelte';

import { get, type AnswerOf } from '../../api/client';

export interface Wish {
  depth_mm?: number;
  tilt_deg: number;
  mix: string;
  beside: string;
}

type Answer = AnswerOf<'get', '/api/trees/{tree}/pot/tried'>;

export class Tried {
  /** The last answer; undefined while nothing is tried. */
  value = $state.raw<Answer>();
  wrong = $state.raw<unknown>();
  #wanted = '';
  #answered = '';
  #isAsking = false;

  /** Asks for what is tried; a wish of null puts everything back. */
  want(tree: string, wish: Wish | null, version: unknown): void {
    this.#wanted = wish === null ? '' : JSON.stringify({ tree, wish, version });
    if (wish === null) {
      this.value = undefined;
      this.wrong = undefined;
      this.#answered = '';
    } else void this.#pump();
  }

  /** Until what was answered is what is wanted; a slider that moves on meanwhile never queues up questions. */
  async #pump(): Promise<void> {
    if (this.#isAsking) return;
    this.#isAsking = true;
    while (this.#wanted !== '' && this.#wanted !== this.#answered) {
      const asked = this.#wanted;
      const { tree, wish } = JSON.parse(asked) as { tree: string; wish: Wish };
      try {
        const answer = await get('/api/trees/{tree}/pot/tried', { path: { tree }, query: wish });
        if (this.#wanted !== '') this.value = answer;
        this.wrong = undefined;
      } catch (wrong) {
        this.wrong = wrong;
      }
      this.#answered = asked;
    }
    this.#isAsking = false;
  }
}

/** Follows a wish while a component stands; `version` is anything that changes when the record does. */
export function tried(tree: () => string, wish: () => Wish | null, version: () => unknown): Tried {
  const found = new Tried();
  $effect(() => {
    const [id, wanted, now] = [tree(), wish(), version()];
    untrack(() => found.want(id, wanted, now));
  });
  return found;
}
