/** What the season line is drawn from: the answer of GET /api/trees/{id}/season, as plain data. */

export interface Days {
  low: string;
  median: string;
  high: string;
}

export interface SeasonStage {
  code: string;
  short: string;
  seen: string | null;
  expected: Days | null;
}

export interface SeasonRisk {
  kind: string;
  /** Share of the weather years in which it happens. */
  prob: number;
  first: string;
  last: string;
}

export interface SeasonWork {
  opens: Days | null;
  closes: Days | null;
  chance_by_day: { first: string; open_prob: readonly number[] } | null;
  planned: readonly { earliest: string | null; latest: string | null }[];
  risks: readonly SeasonRisk[];
}

export interface SeasonData {
  first: string;
  days: number;
  today: string;
  growth: readonly (readonly number[])[];
  stages: readonly SeasonStage[];
  works: readonly SeasonWork[];
}
