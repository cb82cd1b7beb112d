/** What is typed of a tape: rows of text, kept on this device until it is stored, and as the server takes it. */

import type { Schema } from '../../../api/client';
import { INCH_mm } from '../../../core/lengths';
import { withUnit, type Units } from '../../../core/units';

export interface GirthRow {
  girth: string;
  at: string;
}

export interface BranchRow {
  height: string;
  clock: string;
  diameter: string;
  length: string;
  tips: string;
  angle: string;
}

export interface TapeTyped {
  height: string;
  girths: GirthRow[];
  branches: BranchRow[];
  apex_tips: string;
  lean: string;
  lean_clock: string;
  roots: number[];
}

/** What both drawing and storing take. */
export type TapeAsked = Omit<Schema<'TapeTry'>, 'clock' | 'which'>;

type Kept = Pick<Storage, 'getItem' | 'setItem' | 'removeItem'>;

export const noGirth = (): GirthRow => ({ girth: '', at: '' });
export const noBranch = (): BranchRow => ({
  height: '',
  clock: '',
  diameter: '',
  length: '',
  tips: '',
  angle: '',
});

/** A form in which nothing is typed yet. */
export function nothing(): TapeTyped {
  return {
    height: '',
    girths: [noGirth()],
    branches: [noBranch()],
    apex_tips: '',
    lean: '',
    lean_clock: '',
    roots: [],
  };
}

/** Whether a row, or a whole form, holds anything. */
export function isBlank(row: object): boolean {
  return Object.values(row).every((each: unknown) =>
    Array.isArray(each)
      ? each.every((item: unknown) => typeof item === 'object' && item !== null && isBlank(item))
      : String(each).trim() === '',
  );
}

/** The last tape as it would be typed again, lengths in the reader's unit. */
export function again(last: Schema<'TapeKept'>, units: Units, locale: string): TapeTyped {
  const plain = (value: number): string =>
    new Intl.NumberFormat(locale, { maximumFractionDigits: 2, useGrouping: false }).format(value);
  const long = (mm: number | null): string =>
    mm === null ? '' : plain(units === 'inch' ? mm / INCH_mm : mm / 10);
  const thick = (mm: number | null): string =>
    mm === null ? '' : plain(units === 'inch' ? mm / INCH_mm : mm);
  const number = (value: number | null): string => (value === null ? '' : plain(value));
  return {
    height: long(last.height_mm),
    girths: last.girths.map((each) => ({ girth: long(each.girth_mm), at: long(each.at_mm) })),
    branches: last.branches.map((each) => ({
      height: long(each.height_mm),
      clock: number(each.clock),
      diameter: thick(each.diameter_mm),
      length: long(each.length_mm),
      tips: number(each.tips),
      angle: number(each.angle_deg),
    })),
    apex_tips: number(last.apex_tips),
    lean: last.lean_mm > 0 ? long(last.lean_mm) : '',
    lean_clock: last.lean_mm > 0 ? number(last.lean_clock) : '',
    roots: [...last.roots],
  };
}

/** As the server takes it: blank rows left out, bare numbers with the reader's unit. */
export function sent(typed: TapeTyped, units: Units): TapeAsked {
  const long = (text: string): string => withUnit(text, 'height', units);
  return {
    height: long(typed.height),
    girths: filled(typed.girths).map((at) => {
      const row = typed.girths[at]!;
      return { girth: long(row.girth), at: long(row.at) };
    }),
    branches: filled(typed.branches).map((at) => {
      const row = typed.branches[at]!;
      return {
        height: long(row.height),
        clock: row.clock.trim(),
        diameter: withUnit(row.diameter, 'trunk', units),
        length: long(row.length),
        tips: row.tips.trim(),
        angle: row.angle.trim(),
      };
    }),
    apex_tips: typed.apex_tips.trim(),
    lean: long(typed.lean),
    lean_clock: typed.lean_clock.trim(),
    roots: [...typed.roots].sort((a, b) => a - b),
  };
}

/** The field of the form that the server means: its rows are counted without the blank ones. */
export function fieldOf(where: string, typed: TapeTyped): string {
  const [list, at, field] = where.split('.');
  if (field === undefined || (list !== 'girths' && list !== 'branches')) return where;
  const row = filled<object>(typed[list])[Number(at)];
  return `${list}.${row ?? 0}.${field}`;
}

function filled<T extends object>(rows: readonly T[]): number[] {
  return rows.flatMap((row, at) => (isBlank(row) ? [] : [at]));
}

/** Whether there is enough for a drawing: a height, and a girth with its height. */
export function isDrawable(typed: TapeTyped): boolean {
  return (
    typed.height.trim() !== '' && typed.girths.some((row) => row.girth.trim() !== '' && row.at.trim() !== '')
  );
}

/** The draft of a tree as it was kept on this device; undefined where there is none that reads. */
export function readDraft(storage: () => Kept, tree: string): TapeTyped | undefined {
  try {
    const kept: unknown = JSON.parse(storage().getItem(nameOf(tree)) ?? 'null');
    return isTyped(kept) ? kept : undefined;
  } catch {
    return undefined; // nothing that reads, or a private window that refuses
  }
}

/** Keeps the draft, or nothing where nothing is typed. */
export function keepDraft(storage: () => Kept, tree: string, typed: TapeTyped): void {
  try {
    if (isBlank(typed)) storage().removeItem(nameOf(tree));
    else storage().setItem(nameOf(tree), JSON.stringify(typed));
  } catch {
    // as above; the draft then lasts as long as the page
  }
}

function nameOf(tree: string): string {
  return `ringwise.tape.${tree}`;
}

function isTyped(kept: unknown): kept is TapeTyped {
  if (typeof kept !== 'object' || kept === null) return false;
  const found = kept as Record<string, unknown>;
  const texts = ['height', 'apex_tips', 'lean', 'lean_clock'].every((key) => typeof found[key] === 'string');
  const rows = (key: string, like: object): boolean =>
    Array.isArray(found[key]) &&
    found[key].every(
      (row: unknown) =>
        typeof row === 'object' &&
        row !== null &&
        Object.keys(like).every((field) => typeof (row as Record<string, unknown>)[field] === 'string'),
    );
  return (
    texts &&
    rows('girths', noGirth()) &&
    rows('branches', noBranch()) &&
    Array.isArray(found.roots) &&
    found.roots.every((hour: unknown) => Number.isInteger(hour))
  );
}
