// The phone's clock may be wrong: how far it was off when the server was last heard.
import {fact, noteFact} from './carry-store.js';

/** A clock that differs by no more than this is right: the way takes as long. [ms] */
const SAME_MS = 5000;

/** Times of day are whole minutes: a moment in the middle of one stays in it when seconds are rounded. [ms] */
export const MIDDLE_MS = 30000;

/** Note how the clock stands: `server` is the server's moment, the others are this phone's. [ms] */
export async function noteClock(server, asked, answered) {
  const offset = server - (asked + answered) / 2;
  const clock = {offset: Math.abs(offset) <= SAME_MS ? 0 : 1000 * Math.round(offset / 1000), at: answered};
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

/**
 * The moments of a record by this phone's clock, as the server wants them, given the seconds that the
 * clock was off. A time of day that was typed is right as it stands on the page; one that was pressed
 * has its moment beside it, in `…_moment`: what the page showed, a space, and the moment.
 */
export function momentsOf(body, offset) {
  const {arrived_at_moment, left_at_moment, ...record} = body;
  if (!offset) return record;
  for (const [name, pressed] of [['arrived_at', arrived_at_moment], ['left_at', left_at_moment]]) {
    const [shown, moment] = (pressed ?? '').split(' ');
    if (shown && record[name] === shown) record[name] = moment;
    else if (/^\d\d:\d\d$/.test(record[name] ?? '')) {
      record[name] = new Date(momentAt(record.on_date, record[name], record.time_zone) + MIDDLE_MS - 1000 * offset).toISOString();
    }
  }
  return record;
}

/** The moment at which a date and a time of day are shown in a zone. [ms] */
export function momentAt(date, time, zone) {
  const wanted = Date.parse(`${date}T${time}Z`);
  let found = wanted;
  for (let round = 0; round < 2; round += 1) found += wanted - shownAt(found, zone);  // twice: the first may cross a change of summer time
  return found;
}

function shownAt(moment, zone) {
  const parts = Object.fromEntries(new Intl.DateTimeFormat('en-GB', {
    timeZone: zone, hourCycle: 'h23', year: 'numeric', month: '2-digit', day: '2-digit', hour: '2-digit', minute: '2-digit',
  }).formatToParts(moment).map(({type, value}) => [type, value]));
  return Date.parse(`${parts.year}-${parts.month}-${parts.day}T${parts.hour}:${parts.minute}Z`);
}

/** How wrong this phone's clock is, in words; '' where it is right. */
export function clockWords({offset}) {
  const minutes = Math.round(Math.abs(offset) / 60000);
  if (!minutes) return '';
  const [days, hours] = [Math.floor(minutes / 1440), Math.floor(minutes / 60) % 24];
  const said = [days && `${days} d`, hours && `${hours} h`, minutes % 60 && `${minutes % 60} min`].filter(Boolean).join(' ');
  return `This phone’s clock is ${said} ${offset > 0 ? 'behind' : 'ahead'}; the times shown here are corrected.`;
}
