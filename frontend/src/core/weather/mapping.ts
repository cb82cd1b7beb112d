/** What the columns of a table are said to be, and that as the one line that the server reads. */

export interface ColumnSaid {
  /** Its whole name in the file. */
  readonly column: string;
  /** A measure of ours, "date", or blank where it is left out. */
  ours: string;
  /** The unit of the file; blank for ours. */
  unit: string;
  dateForm: string;
  /** Marks for "not measured", as typed. */
  missing: string;
  /** Metres over the ground, of the wind; blank for 2 m. */
  height: string;
}

/** What keeps a mapping from being read: no day, no measure, or one of them named twice. */
export type MappingGap = 'date' | 'measure' | 'twice';

export const DATE = 'date';
export const WIND = 'wind_2m_m_s';

/** What is still lacking; undefined where the server can be asked. */
export function mappingGap(said: readonly ColumnSaid[]): MappingGap | undefined {
  const named = said.map((one) => one.ours).filter((ours) => ours !== '');
  if (new Set(named).size < named.length) return 'twice';
  if (!said.some((one) => one.ours === DATE && one.dateForm !== '')) return 'date';
  return named.some((ours) => ours !== DATE) ? undefined : 'measure';
}

/** "date=Day:DD.MM.YYYY,tmin_degC=Low:degF:missing=-99"; a comma inside a name has a backslash before it. */
export function mappingLine(said: readonly ColumnSaid[]): string {
  return said
    .filter((one) => one.ours !== '')
    .map((one) => {
      const parts = [one.column];
      if (one.ours === DATE) parts.push(one.dateForm);
      else if (one.unit !== '') parts.push(one.unit);
      const marks = missingMarks(one.missing);
      if (one.ours !== DATE && marks.length > 0) parts.push(`missing=${marks.join('|')}`);
      if (one.ours === WIND && one.height.trim() !== '') parts.push(`height=${one.height.trim()}`);
      return `${one.ours}=${parts.join(':').replaceAll(',', '\\,')}`;
    })
    .join(',');
}

/** The marks in what was typed, set apart by blanks or semicolons. */
export function missingMarks(typed: string): string[] {
  const marks = typed.split(/[\s;|]+/).filter((mark) => mark !== '' && !mark.includes(':'));
  return [...new Set(marks)];
}
