/** Choosing a species by any of its names: what is asked of the server, and what the typed text then means. */

export interface Named {
  key: string;
  botanical_name: string;
  common_name: string;
}

/** A species as it stands in its field: the key, and the words that mean it. */
export interface Taken {
  key: string;
  text: string;
}

/** A species in the words of its field. */
export function speciesText(species: Pick<Named, 'botanical_name' | 'common_name'>): string {
  return [species.botanical_name, species.common_name].filter(Boolean).join(', ');
}

/** What to ask for: what was typed; nothing, which finds the yard's own first, where the text is the species taken. */
export function questionOf(text: string, taken: Taken | undefined): string {
  return taken && text.trim() === taken.text ? '' : text.trim();
}

/** What is sent to the server: the key of the species taken, else the text, of which it reads a full name. */
export function meantBy(text: string, taken: Taken | undefined): string {
  return taken && text.trim() === taken.text ? taken.key : text.trim();
}

/** The row after so many steps up or down a list, round its ends. */
export function stepped(at: number, by: number, count: number): number {
  return count > 0 ? (((at + by) % count) + count) % count : -1;
}

/** The species that alone bears the typed name in full; undefined where none or several do. */
export function theOneNamed<S extends Named>(rows: readonly S[], text: string): S | undefined {
  const typed = text.trim().toLowerCase();
  const same = rows.filter((row) =>
    [row.botanical_name, row.common_name, speciesText(row)].some((name) => name.toLowerCase() === typed),
  );
  return typed && same.length === 1 ? same[0] : undefined;
}
