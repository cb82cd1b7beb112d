import { describe, expect, it } from 'vitest';

import { mappingGap, mappingLine, missingMarks, type ColumnSaid } from './mapping';

const said = (column: string, ours: string, more: Partial<ColumnSaid> = {}): ColumnSaid => ({
  column,
  ours,
  unit: '',
  dateForm: '',
  missing: '',
  height: '',
  ...more,
});
const day = said('Day', 'date', { dateForm: 'DD.MM.YYYY' });

describe('the line that the server reads', () => {
  it('names column, unit and marks', () => {
    const low = said('Low', 'tmin_degC', { unit: 'degF', missing: '-99; 999' });
    expect(mappingLine([day, low, said('note', '')])).toBe(
      'date=Day:DD.MM.YYYY,tmin_degC=Low:degF:missing=-99|999',
    );
  });

  it('keeps a comma in a name apart from the commas between pairs', () => {
    expect(mappingLine([day, said('Rain, mm', 'rain_mm')])).toBe('date=Day:DD.MM.YYYY,rain_mm=Rain\\, mm');
  });

  it('gives a height to the wind alone', () => {
    const high = { height: ' 10 ' };
    expect(mappingLine([said('FF', 'wind_2m_m_s', high)])).toBe('wind_2m_m_s=FF:height=10');
    expect(mappingLine([said('T', 'tmax_degC', high)])).toBe('tmax_degC=T');
  });
});

it('finds marks whatever they are set apart by, each once', () => {
  expect(missingMarks(' -99 -99.9|M;-99 a:b ')).toEqual(['-99', '-99.9', 'M']);
  expect(missingMarks('')).toEqual([]);
});

it.each([
  [[said('Low', 'tmin_degC')], 'date'],
  [[said('Day', 'date'), said('Low', 'tmin_degC')], 'date'],
  [[day], 'measure'],
  [[day, said('a', 'tmin_degC'), said('b', 'tmin_degC')], 'twice'],
  [[day, said('a', 'tmin_degC'), said('b', ''), said('c', '')], undefined],
] as const)('says what is lacking: %#', (columns, gap) => {
  expect(mappingGap(columns)).toBe(gap);
});
