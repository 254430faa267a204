// On every page of those who record: what waits on this phone is sent, and said until it is.
import {isOver} from './carry-aboard.js';
import {clockNow, clockWords} from './carry-clock.js';
import {fact, forgetDay, noteFact, onChange, possible, wipe} from './carry-store.js';
import {LOW_WORDS, moment, room, waitingWords} from './carry-words.js';
import {draftsBegun} from './carry-draft.js';
import {flush, waiting} from './outbox.js';

const EVERY_MS = 20000;
const STATES = {
  offline: 'They are sent when there is signal.',
  'sign-in': 'Your sign-in has ended: sign in, and they are sent.',
  busy: 'The server is busy; they are sent in a while.',
  sent: '',
};

const line = Object.assign(document.createElement('p'), {className: 'waiting-line no-print', hidden: true});
line.setAttribute('role', 'status');
const words = document.createElement('span');
const more = Object.assign(document.createElement('a'), {href: '/carry/', textContent: 'Look at what is on this phone'});
line.append(words, ' ', more);
let state = 'sent';

if (possible) await begin();

async function begin() {
  document.querySelector('.flashes').before(line);
  const {who} = document.body.dataset;
  const day = await fact('day');
  if (day && (isOver(day) || (who && who !== day.who))) await forgetDay();
  if (who) await noteFact('who', who);
  onChange(say);
  guardSignOut(document.querySelector('form.sign-out'));
  await say();
  send(true);
  window.addEventListener('online', () => send(true));
  window.addEventListener('focus', () => send(false));
  setInterval(() => send(false), EVERY_MS);
}

async function send(wait) {
  ({state} = await flush({wait}));
  await say();
}

async function say() {
  const [told, clock, free] = [await waiting(), await clockNow(), await room()];
  const {carried} = document.documentElement.dataset;
  const now = new Date(Date.now() + clock.offset);
  const said = [
    carried && `The server does not answer. This page is the copy of ${moment(Number(carried) + clock.offset, now)}.`,
    waitingWords(told, now), told.count > told.dead && STATES[state],
    clockWords(clock), free.low && LOW_WORDS,
  ].filter(Boolean).join(' ');
  if (words.textContent !== said) words.textContent = said;
  more.hidden = !told.count || window.location.pathname === '/carry/';
  line.hidden = !said;
  line.dataset.state = told.dead ? 'refused' : state;
  document.body.dataset.waiting = told.count;
}

/** Signing out destroys all that is on this phone; what was not sent is sent first, or named. */
function guardSignOut(form) {
  form?.addEventListener('submit', async (event) => {
    event.preventDefault();
    const leave = async () => {
      await wipe();
      form.submit();
    };
    const [told, begun] = [await waiting(), await draftsBegun()];
    if (!told.count && !begun) await leave();
    else askFirst(told, begun, leave);
  });
}

function askFirst(told, begun, leave) {
  const box = Object.assign(document.createElement('dialog'), {className: 'sign-out-box'});
  const title = Object.assign(document.createElement('h2'), {textContent: 'Not everything is sent', id: 'sign-out-title'});
  box.setAttribute('aria-labelledby', title.id);
  const said = document.createElement('p');
  const tell = (now, drafts) => {
    const open = drafts ? `${drafts === 1 ? 'A visit is' : `${drafts} visits are`} begun and not closed.` : '';
    said.textContent = [waitingWords(now, new Date()), open, 'Signing out destroys all that is on this phone.'].filter(Boolean).join(' ');
  };
  tell(told, begun);
  const buttons = document.createElement('p');
  buttons.className = 'actions';
  buttons.append(
    button('Send, then sign out', async () => {
      await send(true);
      const [now, drafts] = [await waiting(), await draftsBegun()];
      if (!now.count && !drafts) return leave();
      tell(now, drafts);
      return said.append(' ', STATES[state]);
    }, 'primary'),
    button('Stay signed in', () => box.close()),
    button('Sign out and destroy it', leave),
  );
  box.append(title, said, buttons);
  box.addEventListener('close', () => box.remove());
  document.body.append(box);
  box.showModal();
}

function button(textContent, act, className = '') {
  const made = Object.assign(document.createElement('button'), {type: 'button', textContent, className});
  made.addEventListener('click', act);
  return made;
}
