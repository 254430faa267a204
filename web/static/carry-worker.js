// The service worker: pages of the carried day answer also when the server does not.
//
// Files and map tiles are taken from this phone first, their addresses change with them. Pages are
// asked of the server first; after a short wait the carried copy answers. What is sent to the
// server passes by untouched, and neither a redirect nor a page of sign-in is ever kept.
import {carriedCopy, isAboard, putAboard, start} from './carry-aboard.js';
import {forgetDay, heard, keptKey} from './carry-store.js';

const PATIENCE_MS = 3000;
const GONE = [502, 503, 504];
/** Statuses of a server that is not there, said by what stands before it. */
const FILES = /^\/(static|library|tiles\/base)\//;
const NEVER = /^\/(sw\.js|sign-in|sign-out|records|photos$|pair|phones)/;

/** Serve pages of an edition; `told` names its files, and the page that shows what is aboard. */
export function serve(told) {
  const cache = `riserway-files-${told.edition}`;
  self.addEventListener('install', (event) => event.waitUntil(install(cache, told)));
  self.addEventListener('activate', (event) => event.waitUntil(activate(cache)));
  self.addEventListener('message', ({data}) => { if (data === `sweep ${told.edition}`) sweep(cache); });
  self.addEventListener('fetch', (event) => {
    const {request} = event;
    const {origin, pathname} = new URL(request.url);
    if (origin !== self.location.origin || request.headers.has('Riserway-Take')) return;
    if (request.method === 'POST' && pathname === '/sign-out') event.waitUntil(forgetDay());
    if (request.method !== 'GET') return;
    if (FILES.test(pathname)) event.respondWith(fileFirst(request, cache, told));
    else if (!NEVER.test(pathname)) event.respondWith(serverFirst(event, told));
  });
}

async function install(cache, told) {
  const kept = await caches.open(cache);
  await Promise.all([...told.files, told.page].map(async (address) => {
    const answer = await fetch(address, {cache: 'no-cache', redirect: 'error', headers: {'Riserway-Take': 'yes'}});
    if (!answer.ok) throw new Error(`${address}: ${answer.status}`);
    await kept.put(address, answer);
  }));
  await self.skipWaiting();
}

/** Older files stay while a carried day stands on them; the next one that is taken along sweeps them out. */
async function activate(cache) {
  if (!(await start())) await sweep(cache);
  await self.clients.claim();
}

async function sweep(cache) {
  const old = (await caches.keys()).filter((name) => name.startsWith('riserway-files-') && name !== cache);
  await Promise.all(old.map((name) => caches.delete(name)));
}

async function fileFirst(request, cache, told) {
  const kept = await caches.match(request.url, {ignoreVary: true});
  if (kept) return kept;
  const answer = await fetch(request);
  if (answer.ok && told.files.includes(new URL(request.url).pathname)) {
    await (await caches.open(cache)).put(request.url, answer.clone());
  }
  return answer;
}

/** A newer copy takes the carried one's place, unless it stands on files of another edition. */
async function serverFirst(event, told) {
  const {request} = event;
  const {pathname, search} = new URL(request.url);
  const address = pathname + search;
  const asked = fetch(request);
  asked.catch(() => null);
  let answer = null;
  try {
    answer = await Promise.race([asked, new Promise((late) => { setTimeout(late, PATIENCE_MS, null); })]);
  } catch { /* no signal, or no server */ }
  if (answer && !GONE.includes(answer.status)) {
    await heard(answer);
    if (answer.ok && !answer.redirected && answer.headers.get('Riserway-Edition') === told.edition && await isAboard(address)) event.waitUntil(putAboard(await keptKey('day'), address, answer.clone()));
    return answer;
  }
  const copy = await carriedCopy(address) ?? (request.mode === 'navigate' ? await instead(pathname, told) : null);
  if (copy) return copy;
  return answer ?? asked;
}

/** What a page that is not aboard is answered with: the way to those that are. */
async function instead(pathname, told) {
  const day = await start();
  if (day && (pathname === '/' || pathname === '/day/')) return Response.redirect(day.start);
  const page = await caches.match(told.page, {ignoreVary: true});
  if (!page || pathname === told.page) return page;
  const body = (await page.text()).replace('<html ', '<html data-missing="yes" ');
  return new Response(body, {headers: page.headers});
}
