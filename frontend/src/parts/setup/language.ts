/** The language of the app and of the server's lines, changed together. */

import { ask } from '../../api/client';
import { LANGUAGES, speak, type Language } from '../../words/words.svelte';
import { stored } from '../news.svelte';
import { sayTrouble } from '../notices.svelte';

/** Each by its own name: whoever reads no other finds theirs. */
export const LANGUAGE_CHOICES = Object.entries(LANGUAGES).map(([key, words]) => ({ key, words }));

/** Speaks a language at once and keeps it as the yard's; whether that was stored. */
export async function speakAndKeep(wanted: string): Promise<boolean> {
  if (!Object.hasOwn(LANGUAGES, wanted)) return false;
  try {
    await speak(wanted as Language);
    await ask('patch', '/api/settings', { body: { language: wanted } });
    stored(null);
    return true;
  } catch (trouble) {
    sayTrouble(trouble);
    return false;
  }
}
