// The carried day: its pages lie sealed in the database, and nobody sees them after a day.
import {fact, keptKey, seal, told, unseal, within} from './carry-store.js';

const HOUR_MS = 3600000;
/** A carried day is shown for so long. [ms] */
export const LIFE_MS = 24 * HOUR_MS;
const HEADERS = ['Content-Type', 'Content-Security-Policy', 'X-Content-Type-Options', 'Referrer-Policy', 'Permissions-Policy'];

/** The carried day that may be shown: {who, on_date, plan, start, since, …}, else null. */
export async function start() {
  const day = await fact('day');
  return day && !isOver(day) ? day : null;
}

/** A day is over after 24 hours; a clock that reads before it was taken along cannot be trusted. */
export function isOver(day) {
  const age = Date.now() - day.since;
  return age >= LIFE_MS || age < -HOUR_MS;
}

export async function isAboard(address) {
  return Boolean(await start()) && Boolean(await within(['aboard'], 'readonly', ({aboard}) => told(aboard.getKey(address))));
}

/** Keep an answer sealed; returns its size in bytes. */
export async function putAboard(key, address, answer) {
  const head = Object.fromEntries(HEADERS.map((name) => [name, answer.headers.get(name)]).filter(([, value]) => value));
  const body = await answer.arrayBuffer();
  const sealed = await seal(key, body);
  await within(['aboard'], 'readwrite', ({aboard}) => told(aboard.put({address, head, sealed, at: Date.now()})));
  return body.byteLength;
}

/** The carried copy of an address as an answer, or null. A page is marked with when it was taken. */
export async function carriedCopy(address) {
  if (!(await start())) return null;
  const [row, key] = await Promise.all([
    within(['aboard'], 'readonly', ({aboard}) => told(aboard.get(address))), keptKey('day'),
  ]);
  if (!row || !key) return null;
  const body = await unseal(key, row.sealed);
  if (!row.head['Content-Type']?.startsWith('text/html')) return new Response(body, {headers: row.head});
  const page = new TextDecoder().decode(body).replace('<html ', `<html data-carried="${row.at}" `);
  return new Response(page, {headers: row.head});
}
