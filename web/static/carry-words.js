// Words for what is on this phone: how much, since when, how much room.
import {fact, noteFact} from './carry-store.js';

/** Room below which a day's photos may not fit; common practice, no source. [bytes] */
const NEARLY_FULL_BYTES = 100e6;
const TRIED = 'riserway-room';

export const many = (count, one, several = `${one}s`) => `${count} ${count === 1 ? one : several}`;

export function size(bytes) {
  if (bytes < 1e6) return `${Math.max(1, Math.round(bytes / 1e3))} kB`;
  return bytes < 1e9 ? `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB` : `${(bytes / 1e9).toFixed(1)} GB`;
}

/** A time of day, with its day where that is another one than `beside`. */
export function moment(at, beside) {
  const time = new Intl.DateTimeFormat('en-GB', {hour: '2-digit', minute: '2-digit', hourCycle: 'h23'}).format(at);
  const day = (one) => new Intl.DateTimeFormat('en-GB', {weekday: 'long', day: 'numeric', month: 'long'}).format(one);
  return day(at) === day(beside) ? time : `${time} on ${day(at)}`;
}

/** What waits to be sent, in words; '' where nothing does. */
export function waitingWords({count, records, photos, since, dead, others}, now) {
  if (!count) return '';
  const what = [records && many(records, 'record'), photos && many(photos, 'photo')].filter(Boolean).join(' and ');
  const said = [`${what} ${count === 1 ? 'waits' : 'wait'} on this phone since ${moment(since, now)}.`];
  if (dead) said.push(`${dead === count ? 'Refused' : `${dead} of them refused`}: a person must look.`);
  if (others.length) said.push(`Some were recorded by ${others.join(', ')} and are sent when they sign in here.`);
  return said.join(' ');
}

/**
 * How much this phone keeps, and whether its room is nearly gone. What a browser says of its room may
 * be a round number that has nothing to do with the phone, so the room is also tried by writing.
 */
export async function room() {
  const {quota = 0, usage = 0} = await navigator.storage?.estimate?.() ?? {};
  return {used: usage, low: Boolean(await fact('full')) || (quota > 0 && quota - usage < NEARLY_FULL_BYTES)};
}

/** Try whether the photos of a day would fit. */
export async function tryRoom() {
  const piece = new Uint8Array(NEARLY_FULL_BYTES / 10);
  try {
    const tried = await caches.open(TRIED);
    await tried.put('/carry/room', new Response(new Blob(Array(10).fill(piece))));
    await noteFact('full', false);
  } catch (wrong) {
    if (wrong.name !== 'QuotaExceededError') throw wrong;
    await noteFact('full', true);
  } finally {
    await caches.delete(TRIED);
  }
}

export const LOW_WORDS = `This phone is nearly full: there is no room for ${size(NEARLY_FULL_BYTES)} more. Photos may not fit. Free some room before you go.`;
