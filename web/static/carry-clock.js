// The phone's clock may be wrong: how far it was off when the server was last heard.
import {fact, noteFact} from './carry-store.js';

/** A clock that differs by no more than this is right: the way takes as long. [ms] */
const SAME_MS = 5000;

/** Note how the clock stands: `server` is the server's moment, the others are this phone's. [ms] */
export async function noteClock(server, asked, answered) {
  const offset = server - (asked + answered) / 2;
  const clock = {offset: Math.abs(offset) <= SAME_MS ? 0 : Math.round(offset), at: answered};
  await noteFact('clock', clock);
  return clock;
}

/** The last known offset, to be added to this phone's clock, and when it was measured by it. */
export const clockNow = async () => (await fact('clock')) ?? {offset: 0, at: null};

/**
 * The offset of a moment that was kept by this phone's clock. It is the one that was known then,
 * unless the moment would then lie before the measuring or after now: the clock was changed meanwhile.
 */
export function offsetOf(keptAt, known, latest) {
  if (known.at === null) return latest.offset;
  const moment = keptAt + known.offset;
  const fits = moment >= known.at + known.offset - SAME_MS && moment <= latest.at + latest.offset + SAME_MS;
  return fits ? known.offset : latest.offset;
}
