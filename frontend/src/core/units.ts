/** Amounts as a grower types them: a bare number takes the unit of the reader, and the form shows which. */

export type Units = 'metric' | 'inch';
export type Amount = 'girth' | 'trunk' | 'height' | 'weight' | 'graft' | 'wound' | 'at' | 'drain';

const BARE: Readonly<Record<Amount, Readonly<Record<Units, string>>>> = {
  girth: { metric: 'cm', inch: 'in' },
  height: { metric: 'cm', inch: 'in' },
  trunk: { metric: 'mm', inch: 'in' },
  graft: { metric: 'mm', inch: 'mm' }, // thin stems are callipered in mm everywhere
  wound: { metric: 'mm', inch: 'in' },
  at: { metric: 'cm', inch: 'in' },
  drain: { metric: 's', inch: 's' },
  weight: { metric: 'kg', inch: 'lb' },
};

/** A number by itself: whole, with a decimal point or comma, a fraction, or a whole number with a fraction. */
const NUMBER = /^[+-]?(\d+([.,]\d+)?|[.,]\d+|\d+\s*[¼½¾⅛⅜⅝⅞]|[¼½¾⅛⅜⅝⅞]|(\d+[\s-]+)?\d+\/\d+)$/;

/** The unit that a bare number takes. */
export function unitOf(amount: Amount, units: Units): string {
  return BARE[amount][units];
}

/** Whether a text is a number without a unit. */
export function isBare(text: string): boolean {
  return NUMBER.test(text.trim());
}

/** The text as it is sent: a bare number with the unit, anything else as typed. */
export function withUnit(text: string, amount: Amount, units: Units): string {
  const typed = text.trim();
  return isBare(typed) ? `${typed} ${unitOf(amount, units)}` : typed;
}

/** Sizes joined by x, such as 42 x 31, as they are sent: with the unit where none is typed at all. */
export function sizesWithUnit(text: string, amount: Amount, units: Units): string {
  const typed = text.trim();
  const parts = typed.split(/\s*[x×*]\s*/);
  return parts.every(isBare) ? `${typed} ${unitOf(amount, units)}` : typed;
}
