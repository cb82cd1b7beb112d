/** What stands beside a cut: the words of the wet layer at the left, the profile and its numbers at the right. */

export interface Margins {
  left: number;
  right: number;
  /** Part of the right margin that the numbers of the profile take. */
  numbers: number;
}

/** Margins for a drawing of a width, in pixels. */
export function marginsFor(width: number): Margins {
  return width < 460 ? { left: 56, right: 100, numbers: 36 } : { left: 72, right: 170, numbers: 44 };
}
