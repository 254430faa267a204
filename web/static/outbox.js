// The outbox: what was recorded here waits until the server has it. Nothing leaves it unseen.
import {announce, fact, heard, keyOf, possible, seal, sealJson, told, unseal, unsealJson, within} from './carry-store.js';
import {clockNow, momentsOf, noteClock, offsetOf} from './carry-clock.js';

export {possible};

const PATIENCE_MS = 30000;
/** Records of one batch: so few that an answer comes before patience ends. */
const BATCH = 20;
const BATCH_BYTES = 800000;

/**
 * Keep something until the server has it. The promise is kept only when the write is durable.
 *
 * kind: 'records' (an object of POST /records, with its UUID `id`) or 'photo' (the fields of a photo,
 * with its UUID `id`, and its file). The same id again takes the place of what waits under it.
 * Returns the id.
 */
export async function keep(kind, body, file = null) {
  if (!possible) throw new Error('This browser keeps nothing for later at this address: it needs https.');
  const key = await keyOf('outbox');
  const kept = {
    key: body.id ?? crypto.randomUUID(), kind, who: await me(), clock: await clockNow(), at: Date.now(), dead: null,
    sealed: await sealJson(key, body),
    file: file && {name: file.name ?? 'file', type: file.type, size: file.size},
  };
  const sealed = file && await seal(key, await file.arrayBuffer());
  try {
    await within(['outbox', 'files'], 'readwrite', async ({outbox, files}) => {
      const last = await told(outbox.index('seq').openKeyCursor(null, 'prev'));
      await told(outbox.put({...kept, seq: (last?.key ?? 0) + 1}));
      if (sealed) await told(files.put(sealed, kept.key));
    });
  } catch (wrong) {
    if (wrong.name === 'QuotaExceededError') throw new Error('Not kept: this phone is full. Free some room, then try again.');
    throw wrong;
  }
  announce();
  return kept.key;
}

/** Whose phone this is now: who is signed in on this page, else who was on the last one. */
const me = async () => self.document?.body.dataset.who ?? await fact('who') ?? '';

/**
 * How many things wait, since when (a moment of the server's clock, or null), how many of them a
 * person must look at, and who else recorded some of them here.
 */
export async function waiting() {
  const [all, mine] = [await rows(), await me()];
  const times = all.map((one) => one.at + one.clock.offset);
  return {
    count: all.length,
    records: all.filter((one) => one.kind === 'records').length,
    photos: all.filter((one) => one.kind === 'photo').length,
    since: times.length ? new Date(Math.min(...times)) : null,
    dead: all.filter((one) => one.dead).length,
    others: [...new Set(all.map((one) => one.who))].filter((who) => who && who !== mine),
  };
}

/** Everything that waits, opened, in order; of a file, what it is called, see `fileOf`. */
export async function items() {
  const key = await keyOf('outbox');
  return Promise.all((await rows()).map(async (one) => ({
    ...one, body: await unsealJson(key, one.sealed), complaints: one.dead && await unsealJson(key, one.dead),
  })));
}

/** The file of an item, or null. */
export async function fileOf({key, file}) {
  if (!file) return null;
  const sealed = await within(['files'], 'readonly', ({files}) => told(files.get(key)));
  return new File([await unseal(await keyOf('outbox'), sealed)], file.name, {type: file.type});
}

/** Take an item out, after a person has looked at it and has its content elsewhere. */
export async function discard(key) {
  await change([{key}], () => null);
  announce();
}

/** Send an item again that was refused. */
export async function revive(key) {
  await change([{key}], (now) => ({...now, dead: null}));
  announce();
  return flush();
}

/**
 * Send what waits, in order, each once. Only one tab sends at a time. Returns how it ended, 'sent',
 * 'offline', 'sign-in' or 'busy', and what the server said of each item, by its key.
 */
export async function flush({wait = true} = {}) {
  const said = {state: 'sent', answers: {}};
  if (!possible || (!wait && !(await rows()).some((one) => !one.dead))) return said;
  await navigator.locks.request('riserway-outbox', wait ? {} : {ifAvailable: true}, async (lock) => {
    if (lock) said.state = await drain(said.answers);
  });
  announce();
  return said;
}

/** Ask the server in the name of who is here; a phone that the office has given up is wiped. */
export async function ask(address, {headers = {}, ...options} = {}) {
  const who = await me();
  return heard(await fetch(address, {
    credentials: 'same-origin', redirect: 'manual', signal: AbortSignal.timeout(PATIENCE_MS),
    headers: who ? {...headers, 'Riserway-Who': encodeURIComponent(who)} : headers, ...options,
  }));
}

const rows = () => within(['outbox'], 'readonly', ({outbox}) => told(outbox.index('seq').getAll()));

/**
 * Change rows, or take them out where `changed` gives null. A row that was replaced since it was read
 * (it has another `seq`) stays as it is. What is taken out may come back if the power fails just then:
 * it is sent again, and the server knows it.
 */
function change(read, changed, durability = 'strict') {
  return within(['outbox', 'files'], 'readwrite', async ({outbox, files}) => {
    for (const one of read) {
      const now = await told(outbox.get(one.key));
      if (!now || (one.seq !== undefined && now.seq !== one.seq)) continue;
      const then = changed(now);
      if (then) outbox.put(then);
      else [outbox, files].forEach((store) => store.delete(one.key));
    }
  }, durability);
}

async function drain(answers) {
  const [key, who] = [await keyOf('outbox'), await me()];
  const single = new Set();
  const tried = new Set();
  for (;;) {
    const open = (await rows()).filter((one) => one.who === who && !one.dead && !tried.has(one.seq));
    if (!open.length) return 'sent';
    const batch = await dated(await firstBatch(key, open, single));
    const sent = batch[0].kind === 'photo' ? await sendPhoto(batch[0]) : await sendRecords(batch);
    if (sent.state) return sent.state;
    if (sent.whole && batch.length > 1) {  // which of them it was is told when each goes alone
      batch.forEach((one) => single.add(one.key));
      continue;
    }
    const said = new Map(batch.map((one, number) => [one.key, sent.whole ? {status: 'refused', ...sent.whole} : sent.answers[number] ?? SILENT]));
    const [later, settled] = [[], []];
    for (const one of batch) (isBusy(said.get(one.key)) ? later : settled).push(one);
    const dead = new Map();
    for (const one of settled) {
      const {status, complaints} = said.get(one.key);
      if (status === 'refused') dead.set(one.key, await sealJson(key, complaints ?? SILENT.complaints));
      answers[one.key] = said.get(one.key);
      tried.add(one.seq);
    }
    await change(settled, (now) => (dead.has(now.key) ? {...now, dead: dead.get(now.key)} : null), 'relaxed');
    announce();
    if (later.length) return 'busy';
  }
}

const SILENT = {status: 'refused', complaints: ['The server said nothing of it.']};
const isBusy = ({status, code}) => status === 'refused' && code >= 500;

/** The first photo, or the first records that may go together. */
async function firstBatch(key, open, single) {
  const batch = [];
  let bytes = 0;
  for (const one of open) {
    bytes += one.sealed.data.byteLength;
    const alone = one.kind === 'photo' || single.has(one.key);
    if (batch.length && (alone || bytes > BATCH_BYTES)) break;
    batch.push({...one, body: await unsealJson(key, one.sealed)});
    if (alone || batch.length === BATCH) break;
  }
  return batch;
}

/**
 * Say of each item how the phone's clock stood when it was recorded. It is noted before anything is
 * sent, so that an item that is sent again is the same.
 */
async function dated(batch) {
  const latest = {...await clockNow(), at: Date.now()};
  const fresh = batch.filter((one) => one.offset === undefined && one.clock.at !== null);
  fresh.forEach((one) => { one.offset = Math.round(offsetOf(one.at, one.clock, latest) / 1000); });
  const offsets = new Map(fresh.map((one) => [one.key, one.offset]));
  if (fresh.length) await change(fresh, (now) => ({...now, offset: offsets.get(now.key)}));
  for (const one of batch) {
    if (one.offset !== undefined) one.body = {...momentsOf(one.body, one.offset), device_offset_s: one.offset};
  }
  return batch;
}

async function sendRecords(batch) {
  const asked = Date.now();
  const answer = await posted('/records', {
    headers: {'Content-Type': 'application/json'},
    body: JSON.stringify({sent_at: new Date(asked).toISOString(), records: batch.map((one) => one.body)}),
  });
  if (!answer.told) return answer;
  if (answer.told.server_time) await noteClock(Date.parse(answer.told.server_time), asked, Date.now());
  return {answers: answer.told.records ?? []};
}

async function sendPhoto(item) {
  const form = new FormData();
  form.set('body', JSON.stringify({...item.body, id: item.key}));
  form.set('sent_at', new Date().toISOString());
  const file = await fileOf(item);
  if (file) form.set('file', file);
  const answer = await posted('/photos', {body: form});
  return answer.told ? {answers: [{status: 'kept', ...answer.told}]} : answer;
}

/** Post something: {told} of an answer, {state} where all must wait, {whole} where it was refused. */
async function posted(address, options) {
  let answer;
  try {
    answer = await ask(address, {method: 'POST', ...options});
  } catch {
    return {state: 'offline'};
  }
  if (answer.ok) return {told: await answer.json().catch(() => ({}))};
  if (answer.type === 'opaqueredirect' || [401, 403].includes(answer.status)) return {state: 'sign-in'};
  if (answer.status >= 500 || [408, 425, 429].includes(answer.status)) return {state: 'busy'};
  const said = await answer.json().catch(() => ({}));
  return {whole: {code: answer.status, complaints: said.complaints ?? [`The server refused it (${answer.status}).`]}};
}
