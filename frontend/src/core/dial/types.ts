/** What the dial is drawn from: the answer of GET /api/trees/{id}/dial, as plain data. */

export type RingBasis = 'measured' | 'between' | 'assumed';
export type MarkKind = 'seen' | 'measured' | 'worked' | 'noted' | 'photo' | 'planned' | 'asked';
export type WindowState = 'ahead' | 'open' | 'closed' | 'blocked';

export interface DialYear {
  label: number;
  first: string;
  days: number;
  start_girth_mm: number;
  end_girth_mm: number;
  basis: RingBasis;
  told: { value: number | null; shown: string; why: string | null };
}

export interface DialMark {
  entry: string;
  kind: MarkKind;
  year: number;
  frac: number;
  spread_frac: number;
  words: string;
  text: string;
}

export interface DialWindow {
  operation: string;
  operation_words: string;
  state: WindowState;
  wanted: boolean;
  opens_low: number;
  opens: number;
  opens_high: number;
  closes_low: number;
  closes: number;
  closes_high: number;
  sentence: string;
  chance: { value: number | null; shown: string; why: string | null };
  why: string;
}

export interface DialStage {
  code: string;
  words: string;
  seen_frac: number | null;
  low_frac: number | null;
  median_frac: number | null;
  high_frac: number | null;
  text: string;
  why: string;
}

export interface DialAhead {
  label: number;
  low_mm: number;
  median_mm: number;
  high_mm: number;
  alive_frac: number;
  told: { value: number | null; shown: string; why: string | null };
}

export interface DialData {
  today_frac: number;
  south: boolean;
  year: number;
  seed_known: boolean;
  scaled: boolean;
  line: number[][];
  years: DialYear[];
  growth: number[][];
  marks: DialMark[];
  windows: DialWindow[];
  stages: DialStage[];
  ahead: DialAhead[];
}
