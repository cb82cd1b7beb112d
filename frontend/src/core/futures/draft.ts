/** A course as a form has it, and the text that it is kept as. Every field is text; a blank one is left out. */

export interface StepDraft {
  after_years: string;
  half: string;
  operation: string;
  site: string;
  clock: string;
  amount: string;
  litres: string;
  extra: string;
  condition: string;
  every_years: string;
  until_years: string;
  if: string;
  unless: string;
}

export interface CheckDraft {
  name: string;
  after_years: string;
  half: string;
  look: string;
  at_least: string;
  times: string;
  every_years: string;
  until_years: string;
}

export interface CourseDraft {
  key: string;
  title: string;
  words: string;
  question: string;
  closes: string;
  /** The grower's own, for work that a rule would put off. */
  reason: string;
  steps: StepDraft[];
  checks: CheckDraft[];
}

/** What a further number of a step means for its work; none for other work. */
export type Extra = 'mix' | 'stub' | 'bend' | 'feed' | 'guy';

const EXTRA: Readonly<Record<string, Extra>> = {
  repot: 'mix',
  lift: 'mix',
  root_rescue: 'mix',
  prune: 'stub',
  structural_prune: 'stub',
  wire: 'bend',
  feed: 'feed',
  fertilise: 'feed',
  guy: 'guy',
};
const READS: Readonly<Record<'amount' | 'litres' | 'clock', ReadonlySet<string>>> = {
  amount: new Set(['repot', 'lift', 'field_plant', 'head_back', 'pinch', 'partial_defoliation']),
  litres: new Set(['repot', 'lift', 'root_rescue', 'split_clump']),
  clock: new Set(['prune', 'structural_prune', 'head_back', 'wire', 'approach_graft', 'thread_graft']),
};

/** What the further number of a step is; undefined where its work reads none. */
export function extraOf(step: StepDraft): Extra | undefined {
  return EXTRA[step.operation];
}

/** Whether a field of a step is to be shown: its work reads it, or something stands in it. */
export function isShown(step: StepDraft, field: 'amount' | 'litres' | 'clock' | 'extra'): boolean {
  if (step[field] !== '') return true;
  return field === 'extra' ? extraOf(step) !== undefined : READS[field].has(step.operation);
}

const NUMBERS = new Set(['after_years', 'clock', 'amount', 'litres', 'extra', 'times', 'every_years', 'until_years']); // prettier-ignore
const USUAL: Readonly<Record<string, string>> = { condition: 'always', question: 'other' };

export function blankStep(change: Partial<StepDraft> = {}): StepDraft {
  return {
    after_years: '0',
    half: 'spring',
    operation: 'repot',
    site: '',
    clock: '',
    amount: '',
    litres: '',
    extra: '',
    condition: 'always',
    every_years: '',
    until_years: '',
    if: '',
    unless: '',
    ...change,
  };
}

export function blankCheck(change: Partial<CheckDraft> = {}): CheckDraft {
  return {
    name: '',
    after_years: '1',
    half: 'summer',
    look: '',
    at_least: '',
    times: '',
    every_years: '',
    until_years: '',
    ...change,
  };
}

export function blankCourse(): CourseDraft {
  return {
    key: '',
    title: '',
    words: '',
    question: '',
    closes: '',
    reason: '',
    steps: [blankStep()],
    checks: [],
  };
}

/** A key for a course by its title: small letters, digits and underscores. */
export function keyOf(title: string): string {
  const plain = title.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase();
  return plain.replace(/[^a-z0-9]+/g, '_').replace(/^_+|_+$/g, '').slice(0, 40) || 'own'; // prettier-ignore
}

/** The TOML text of a course. What was typed where a number belongs goes out as text, so that it is told as a fault. */
export function courseText(draft: CourseDraft): string {
  const head = {
    key: draft.key || keyOf(draft.title),
    title: draft.title.trim(),
    words: draft.words,
    question: draft.question,
    closes: draft.closes,
    reason: draft.reason,
  };
  const parts = [
    rows(head, ['title']),
    ...draft.checks.map((check) => `\n[[check]]\n${rows({ ...check })}`),
    ...draft.steps.map((step) => `\n[[step]]\n${rows({ ...step })}`),
  ];
  return parts.join('');
}

function rows(values: Readonly<Record<string, string>>, always: readonly string[] = []): string {
  return Object.entries(values)
    .map(([name, text]) => [name, text.trim()] as const)
    .filter(([name, text]) => always.includes(name) || (text !== '' && text !== USUAL[name]))
    .map(([name, text]) => `${name} = ${NUMBERS.has(name) ? numbered(name, text) : quoted(text)}\n`)
    .join('');
}

function numbered(name: string, text: string): string {
  const percent = name === 'amount' && /^\d+([.,]\d+)?\s*%$/.test(text);
  const plain = text.replace('%', '').trim().replace(',', '.');
  if (!/^-?\d+(\.\d+)?$/.test(plain)) return quoted(text);
  return percent ? String(Number(plain) / 100) : String(Number(plain));
}

function quoted(text: string): string {
  return JSON.stringify(text).replace(/\x7f/g, '\\u007f');
}

/**
 * Faults by part, number and field, so that each line stands beside what it is about. The field's label stands above
 * it: the words for it and its key in brackets, with which a line may begin, are left out.
 */
export function faultAt(
  faults: readonly { part: string; number: number; field: string; line: string }[],
  part: string,
  number: number,
  field: string,
): string {
  const found = faults.filter((each) => each.part === part && each.number === number && each.field === field);
  const mark = `(${field}) `;
  const told = (line: string): string => {
    const at = field ? line.indexOf(mark) : -1;
    return at < 0 || line.slice(0, at).includes('(') ? line : line.slice(at + mark.length);
  };
  return found.map(({ line }) => told(line)).join(' ');
}
