// What a phone keeps: one database whose private parts are sealed with keys that cannot leave it.
// Pages and the service worker share this module.

const NAME = 'riserway';

/**
 * The database, one step for each version. A step is never changed once it was served, and adds
 * only: a page that is older than the database goes on with it.
 */
const STEPS = [
  (db) => {
    db.createObjectStore('keys');
    db.createObjectStore('facts');
    db.createObjectStore('aboard', {keyPath: 'address'});
    db.createObjectStore('drafts', {keyPath: 'address'});
    db.createObjectStore('outbox', {keyPath: 'key'}).createIndex('seq', 'seq', {unique: true});
    db.createObjectStore('files');
  },
];

/** Whether this browser can keep anything: it does so over https and on this machine alone. */
export const possible = self.isSecureContext && Boolean(self.indexedDB && self.crypto?.subtle && navigator.locks);

/** The map tiles of the carried day. */
export const TILES = 'riserway-tiles';

let opened = null;

function database() {
  opened ??= openAt(STEPS.length).catch((wrong) => {
    if (wrong.name === 'VersionError') return openAt();  // a newer page was here: its steps only added
    throw wrong;
  }).catch((wrong) => {
    opened = null;
    throw wrong;
  });
  return opened;
}

function openAt(version) {
  return new Promise((done, fail) => {
    const asked = indexedDB.open(NAME, version);
    asked.onupgradeneeded = ({oldVersion}) => STEPS.slice(oldVersion).forEach((step) => step(asked.result));
    asked.onerror = () => fail(asked.error);
    asked.onsuccess = () => {
      const db = asked.result;
      db.onversionchange = () => {  // a newer page waits to add its step
        db.close();
        opened = null;
      };
      db.onclose = () => { opened = null; };
      done(db);
    };
  });
}

/**
 * Do something with stores in one transaction, and return what `act` returned once it is durable:
 * on the disk, not only with the system. `act` gets the stores by name, and may await requests.
 */
export async function within(names, mode, act, durability = 'strict') {
  const db = await database();
  let unit;
  try {
    unit = db.transaction(names, mode, {durability});
  } catch (wrong) {
    if (wrong.name !== 'InvalidStateError') throw wrong;
    opened = null;  // closed between two questions, for a newer page
    return within(names, mode, act, durability);
  }
  const ended = new Promise((done, fail) => {
    unit.oncomplete = done;
    unit.onabort = () => fail(unit.error ?? new DOMException('The write was given up.', 'AbortError'));
  });
  ended.catch(() => null);
  const stores = Object.fromEntries(names.map((name) => [name, unit.objectStore(name)]));
  let found;
  try {
    found = await act(stores);
  } catch (wrong) {
    try { unit.abort(); } catch { /* it has ended by itself */ }
    throw wrong;
  }
  await ended;
  return found;
}

/** The answer of one request of the database. */
export function told(request) {
  return new Promise((done, fail) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error);
  });
}

export const fact = (name) => within(['facts'], 'readonly', ({facts}) => told(facts.get(name)));
export const noteFact = (name, value) => within(['facts'], 'readwrite', ({facts}) => told(facts.put(value, name)));

/** The key of a name, made on this phone the first time it is asked for. */
export async function keyOf(name) {
  const kept = await keptKey(name);
  if (kept) return kept;
  const made = await crypto.subtle.generateKey({name: 'AES-GCM', length: 256}, false, ['encrypt', 'decrypt']);
  return within(['keys'], 'readwrite', async ({keys}) => {
    const first = await told(keys.get(name));  // another tab may have been quicker
    if (!first) keys.put(made, name);
    return first ?? made;
  });
}

export const keptKey = (name) => within(['keys'], 'readonly', ({keys}) => told(keys.get(name)));

export async function seal(key, bytes) {
  const iv = crypto.getRandomValues(new Uint8Array(12));
  return {iv, data: await crypto.subtle.encrypt({name: 'AES-GCM', iv}, key, bytes)};
}

export const unseal = (key, {iv, data}) => crypto.subtle.decrypt({name: 'AES-GCM', iv}, key, data);
export const sealJson = (key, value) => seal(key, new TextEncoder().encode(JSON.stringify(value)));
export const unsealJson = async (key, sealed) => JSON.parse(new TextDecoder().decode(await unseal(key, sealed)));

/** Forget the carried day and its key; what waits to be sent stays, its key too. */
export async function forgetDay() {
  await within(['keys', 'aboard', 'facts'], 'readwrite', async ({keys, aboard, facts}) => {
    keys.delete('day');
    aboard.clear();
    await Promise.all((await told(facts.getAllKeys())).filter((name) => name !== 'clock').map((name) => told(facts.delete(name))));
  });
  await self.caches?.delete(TILES);
  announce();
}

/** Forget everything, also what waits to be sent: the office has given this phone up as lost. */
export async function wipe() {
  const names = ['keys', 'facts', 'aboard', 'drafts', 'outbox', 'files'];
  await within(names, 'readwrite', (stores) => Promise.all(names.map((name) => told(stores[name].clear()))));
  await self.caches?.delete(TILES);
  announce();
}

/** Hear what an answer of our server says beside its content: that this phone is to be wiped. */
export async function heard(answer) {
  if (answer.headers.get('Riserway-Wipe') === 'yes') await wipe();
  return answer;
}

const channel = self.BroadcastChannel ? new BroadcastChannel('riserway') : null;
const listeners = new Set();
const SOON_MS = 200;
let soon = null;

/** Say to this page and to the others that something changed in what is kept; many changes at once are said once. */
export function announce() {
  soon ??= setTimeout(() => {
    soon = null;
    channel?.postMessage('changed');
    listeners.forEach((act) => act());
  }, SOON_MS);
}

export function onChange(act) {
  if (channel && !channel.onmessage) channel.onmessage = () => listeners.forEach((one) => one());
  listeners.add(act);
}
