// A record on its way: kept on this phone first, then sent, and said in words how far it is.
import {clockNow, MIDDLE_MS} from './carry-clock.js';
import {draftHere, fillForm, folded, keepDraft} from './carry-draft.js';
import {fact, noteFact} from './carry-store.js';
import {moment, waitingWords} from './carry-words.js';
import {ask, flush, items, keep, possible, waiting} from './outbox.js';

const clock = possible ? await clockNow() : {offset: 0};
let forget = async () => null;

/** This moment by the server's clock, as far as it is known. */
export const nowHere = () => new Date(Date.now() + clock.offset);

/** Write the time of day that it is into a field, and beside it the moment by this phone's clock. */
export function pressNow(field, shown) {
  field.value = shown(nowHere());
  const name = `${field.name}_moment`;
  const beside = field.form.elements.namedItem(name)
    ?? field.form.appendChild(Object.assign(document.createElement('input'), {type: 'hidden', name}));
  const minute = nowHere().setSeconds(0, MIDDLE_MS);
  beside.value = `${field.value} ${new Date(minute - clock.offset).toISOString()}`;
}

/** Keep a short record, such as an arrival, and send it when that can be. */
export async function keepNote(record) {
  if (!possible) {
    await sendNow(record).catch(() => null);
    return;
  }
  await keep('records', record);
  flush();
}

/**
 * Fill the form with what was typed before, on this page or in a record that waits, and keep on
 * keeping it. `ready` makes room for tasks that were added then.
 */
export async function takeUp(form, look, ready) {
  const entry = new URLSearchParams(window.location.hash.slice(1)).get('waiting');
  const item = entry && possible ? (await items()).find(({key}) => key === entry) : null;
  const draft = item ? null : await draftHere();
  for (const name of ['arrived_at_moment', 'left_at_moment']) {
    if (!form.elements.namedItem(name)) form.append(Object.assign(document.createElement('input'), {type: 'hidden', name}));
  }
  if (item) {
    const entries = folded(item.body);
    ready(entries);
    fillForm(form, entries, look);
    tell(form, `This record was kept on this phone at ${moment(item.at + item.clock.offset, nowHere())}.${item.complaints ? ` It was refused: ${item.complaints.join(' ')}` : ''} Change it and close the visit again.`);
  } else if (draft) {
    ready(draft.entries);
    fillForm(form, draft.entries, look);
    tell(form, `What you had typed here until ${moment(draft.at + clock.offset, nowHere())} is back.`);
  }
  forget = keepDraft(form);
}

/**
 * Close a visit: "kept" is said only when the record is durable on this phone. Then it is sent; the
 * page goes on to the report, says what the server complains of, or says that it waits.
 */
export async function closeVisit(form, record, complain) {
  const line = form.querySelector('#sending');
  const say = (words) => { line.textContent = words; };
  if (!possible) {
    say('Sending …');
    const answer = await sendNow(record).catch((wrong) => say(wrong.message));
    if (answer) conclude(answer, say, complain);
    return;
  }
  try {
    await keep('records', {...record, time_zone: form.dataset.zone});
  } catch (wrong) {
    say(wrong.message);
    return;
  }
  await forget();
  await noteClosed(record);
  say(`Kept on this phone at ${moment(nowHere(), nowHere())}. Sending …`);
  const {state, answers} = await flush();
  const answer = answers[record.id] ?? ((await items()).some(({key}) => key === record.id) ? null : {status: 'kept', report: `/visits/${record.id}/report`});
  if (answer) {
    if (answer.status === 'refused') forget = keepDraft(form);
    conclude(answer, say, complain);
    return;
  }
  await sayWaits(form, line, state);
}

function conclude(answer, say, complain) {
  if (answer.status !== 'refused') {
    window.location.assign(answer.report);
    return;
  }
  say('');
  complain(answer.complaints);
}

/** The visit is closed as far as this phone goes: what was typed makes room for what is next. */
async function sayWaits(form, line, state) {
  const why = {
    'sign-in': 'Your sign-in has ended: sign in again, and all is sent.',
    busy: 'The server is busy; all is sent in a while.',
  }[state] ?? 'All is sent when there is signal.';
  const box = document.createElement('section');
  box.className = 'kept-here';
  box.tabIndex = -1;
  const title = Object.assign(document.createElement('h2'), {textContent: 'Kept on this phone'});
  const words = Object.assign(document.createElement('p'), {textContent: `${waitingWords(await waiting(), nowHere())} ${why}`});
  const on = form.elements.namedItem('on_date').value;
  const links = Object.assign(document.createElement('p'), {className: 'actions'});
  links.append(link(`/day/${on}`, 'The day', 'button primary'), link('/carry/', 'What is on this phone', 'button'));
  box.append(title, words, links);
  line.textContent = '';
  form.hidden = true;
  form.before(box);
  box.focus();
  box.scrollIntoView({block: 'center'});
  document.body.dataset.kept = 'yes';
}

/** Which sites this phone has closed on a date, for the order of the day. */
async function noteClosed({site_id, on_date}) {
  const closed = (await fact('closed')) ?? {};
  closed[on_date] = [...new Set([...(closed[on_date] ?? []), Number(site_id)])];
  await noteFact('closed', closed);
}

function tell(form, textContent) {
  const words = Object.assign(document.createElement('p'), {className: 'flash no-print', textContent});
  words.setAttribute('role', 'status');
  form.before(words);
}

function link(href, textContent, className) {
  return Object.assign(document.createElement('a'), {href, textContent, className});
}

/** Without https nothing can be kept here; the record goes to the server, or stays on the page. */
async function sendNow(record) {
  let answer;
  try {
    answer = await ask('/records', {
      method: 'POST', headers: {'Content-Type': 'application/json'},
      body: JSON.stringify({sent_at: new Date().toISOString(), records: [record]}),
    });
  } catch {
    throw new Error('Not sent: the server does not answer. Keep this page open and close the visit again later.');
  }
  if (answer.status === 401) throw new Error('Not sent: your sign-in has ended. Sign in on another page, then close the visit again here.');
  if (!answer.ok) throw new Error('Not sent: the server could not take it. Keep this page open and try again.');
  return (await answer.json()).records[0];
}
