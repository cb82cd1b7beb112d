/** The route of one turn of photos, which is asked from several places. */
export const RUN = '/api/trees/{tree}/shape/turntable/{run}';

/** Numbers as they come (x and y in turn) as the points of a polyline. */
export function pointsOf(line: readonly number[]): string {
  const points: string[] = [];
  for (let i = 0; i + 1 < line.length; i += 2) points.push(`${String(line[i])},${String(line[i + 1])}`);
  return points.join(' ');
}
