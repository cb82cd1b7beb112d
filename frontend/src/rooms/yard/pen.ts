/** How wide words are on the drawing. */

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
