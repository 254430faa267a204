// The page of what waits on this phone: each item can be opened, sent again, saved as a file.
import {clockNow} from './carry-clock.js';
import {onChange, possible} from './carry-store.js';
import {moment, size} from './carry-words.js';
import {discard, flush, items, revive} from './outbox.js';

const KINDS = {visit: 'Visit', arrival: 'Arrival', departure: 'Departure', order: 'Own order of the day', photo: 'Photo'};
const list = document.getElementById('waiting-list');
const said = document.getElementById('waiting-said');
const saved = new Set();

document.getElementById('carry-missing').hidden = !document.documentElement.dataset.missing;
if (possible) {
  onChange(show);
  document.getElementById('waiting-send').addEventListener('click', send);
  document.getElementById('waiting-save').addEventListener('click', async () => save(await items()));
  await show();
}

async function show() {
  const [all, clock] = [await items(), await clockNow()];
  const now = new Date(Date.now() + clock.offset);
  document.getElementById('waiting-none').hidden = all.length > 0;
  document.getElementById('waiting-acts').hidden = !all.length;
  list.replaceChildren(...all.map((one) => row(one, now)));
}

function row(one, now) {
  const item = document.createElement('li');
  const kind = one.kind === 'photo' ? 'photo' : one.body.kind ?? 'visit';
  const what = [KINDS[kind] ?? kind, one.body.site && `site ${one.body.site}`, `kept at ${moment(one.at + one.clock.offset, now)}`, one.file && size(one.file.size)];
  item.append(Object.assign(document.createElement('strong'), {textContent: what.filter(Boolean).join(', ')}));
  if (!one.dead) return item;
  const why = document.createElement('ul');
  why.append(...one.complaints.map((textContent) => Object.assign(document.createElement('li'), {textContent})));
  const acts = Object.assign(document.createElement('p'), {className: 'actions'});
  if (kind === 'visit') {
    const address = one.body.supersedes ? `/visits/${one.body.supersedes}/correct` : `/gate/${one.body.site_id}/${one.body.on_date}/record`;
    acts.append(Object.assign(document.createElement('a'), {className: 'button', href: `${address}#waiting=${one.key}`, textContent: 'Open and correct'}));
  }
  acts.append(button('Send again', () => revive(one.key)), button('Save as a file', () => save([one])));
  if (saved.has(one.key)) acts.append(button('Remove from this phone', () => discard(one.key)));
  item.append(' The server refused it:', why, acts);
  return item;
}

async function send() {
  said.textContent = 'Sending …';
  const {state} = await flush();
  said.textContent = {
    sent: 'Sent what could be sent.', offline: 'The server does not answer; it is tried again by itself.',
    'sign-in': 'Your sign-in has ended. Sign in, then it is sent.', busy: 'The server is busy; it is tried again by itself.',
  }[state];
}

/** Save records as a file that the office can read; what was refused can be removed after that. */
async function save(some) {
  const records = some.map(({key, kind, body, at, complaints, file}) => ({id: key, kind, kept_at: new Date(at).toISOString(), complaints, file: file?.name, body}));
  const address = URL.createObjectURL(new Blob([JSON.stringify({format: 'riserway-outbox/1', records}, null, 1)], {type: 'application/json'}));
  Object.assign(document.createElement('a'), {href: address, download: 'riserway-outbox.json'}).click();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
  some.forEach(({key}) => saved.add(key));
  await show();
}

function button(textContent, act) {
  const made = Object.assign(document.createElement('button'), {type: 'button', textContent});
  made.addEventListener('click', act);
  return made;
}
