/** Which of the server's events mean that something shown may be old; plain, so that it can be tested. */

export type Seen = { stamp: number; wasCut: boolean };

/** What has been seen before the first answer. */
export const NOTHING_SEEN: Seen = { stamp: -1, wasCut: false };

/** A step of the record is told: news only when it is later than what was seen. */
export function onStamp(seen: Seen, stamp: number): { seen: Seen; isNews: boolean } {
  return { seen: { ...seen, stamp: Math.max(seen.stamp, stamp) }, isNews: stamp > seen.stamp };
}

/** The server was reached or lost: back after a cut is news, as events may have been missed. */
export function onReach(seen: Seen, isReached: boolean): { seen: Seen; isNews: boolean } {
  return { seen: { ...seen, wasCut: !isReached }, isNews: isReached && seen.wasCut };
}
