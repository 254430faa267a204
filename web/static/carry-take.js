// Taking the day along: every page of it sealed, files and map tiles beside, and what failed by name.
import {putAboard} from './carry-aboard.js';
import {noteClock} from './carry-clock.js';
import {announce, keyOf, TILES, told, within} from './carry-store.js';
import {tryRoom} from './carry-words.js';
import {ask} from './outbox.js';

const AT_ONCE = 6;
const ASIDE = {'Riserway-Take': 'yes'};
/** Tells the service worker to stand aside: what is taken along comes from the server. */

/**
 * Take along what the list names, and return the carried day: who, on_date, plan, counts, bytes, failed.
 * `say` is told how it goes. What was aboard before stays where something fails.
 */
export async function takeAlong(list, worker, say) {
  say('Asking the server …');
  const registered = await install(worker);
  const persisted = await navigator.storage?.persist?.() ?? false;
  const asked = Date.now();
  const plan = await (await good(list)).json();
  await noteClock(Date.parse(plan.server_time), asked, Date.now());
  const key = await keyOf('day');
  const wanted = Object.entries(plan.sealed).flatMap(([kind, addresses]) => addresses.map((address) => ({kind, address})));
  const jobs = [
    ...wanted.map((one) => ({...one, take: async () => putAboard(key, one.address, await good(one.address))})),
    ...await files(`riserway-files-${plan.edition}`, 'files', plan.files),
    ...await files(TILES, 'map tiles', plan.tiles),
  ];
  const counts = Object.fromEntries(jobs.map(({kind}) => [kind, 0]));
  const failed = [];
  let bytes = 0;
  let number = 0;
  await Promise.all(Array.from({length: AT_ONCE}, async () => {
    while (number < jobs.length) {
      const job = jobs[number];
      number += 1;
      say(`Taking along ${number} of ${jobs.length} …`);
      try {
        bytes += await job.take();
        counts[job.kind] += 1;
      } catch (wrong) {
        failed.push({kind: job.kind, address: job.address, why: why(wrong)});
      }
    }
  }));
  const {who, on_date, sites, start} = plan;
  const day = {who, on_date, plan: plan.plan, sites, start, since: asked, counts, bytes, failed, persisted};
  const current = new Set(wanted.map(({address}) => address));
  await within(['facts', 'aboard'], 'readwrite', async ({facts, aboard}) => {
    facts.put(day, 'day');
    for (const address of await told(aboard.getAllKeys())) if (!current.has(address)) aboard.delete(address);
  });
  await forgetTiles(new Set(plan.tiles));
  say('Trying whether photos would fit …');
  await tryRoom();
  if (!failed.length) registered.active?.postMessage(`sweep ${plan.edition}`);
  announce();
  return day;
}

async function install(worker) {
  let registered;
  try {
    registered = await navigator.serviceWorker.register(worker, {type: 'module', updateViaCache: 'none'});
  } catch {
    throw new Error('This browser cannot take the day along. Use a newer one, over https.');
  }
  registered.update().catch(() => null);
  return navigator.serviceWorker.ready;
}

/** The answer of an address as it is; an answer that leads elsewhere, to sign in, is none. */
async function good(address) {
  const answer = await ask(address, {headers: ASIDE, cache: 'no-cache'});
  if (answer.type === 'opaqueredirect' || answer.status === 401) throw new Error('Your sign-in has ended. Sign in, then take the day along again.');
  if (!answer.ok) throw new Error(`the server said ${answer.status}`);
  return answer;
}

/** Jobs for files that may lie open: those that are not here yet are asked for. */
async function files(cache, kind, addresses) {
  const kept = await caches.open(cache);
  const here = new Set((await kept.keys()).map(({url}) => new URL(url).pathname));
  return addresses.map((address) => ({kind, address, take: async () => {
    if (here.has(address)) return 0;
    const answer = await good(address);
    const size = (await answer.clone().arrayBuffer()).byteLength;
    await kept.put(address, answer);
    return size;
  }}));
}

async function forgetTiles(wanted) {
  const kept = await caches.open(TILES);
  const old = (await kept.keys()).filter(({url}) => !wanted.has(new URL(url).pathname));
  await Promise.all(old.map((one) => kept.delete(one)));
}

function why(wrong) {
  if (wrong.name === 'QuotaExceededError') return 'this phone is full';
  if (wrong.name === 'TimeoutError') return 'the server took too long';
  return wrong.name === 'TypeError' ? 'the server does not answer' : wrong.message;
}
