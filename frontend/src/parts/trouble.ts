/** An error as the one line that a person is told. */

import { TroubleError } from '../api/client';
import { t } from '../words/words.svelte';

/** The server's own line, or ours where the server could not be asked. */
export function troubleLine(wrong: unknown): string {
  if (!(wrong instanceof TroubleError)) return t('house.trouble_app');
  if (wrong.message) return wrong.message;
  return wrong.kind === 'offline' ? t('house.trouble_offline') : t('house.trouble_strange');
}

/** The field that an error is about, so that its line can stand beside it; blank where it is about none. */
export function troubleField(wrong: unknown): string {
  return wrong instanceof TroubleError ? wrong.where : '';
}
