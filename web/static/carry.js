// The box "Without signal": takes the day along, and says what is aboard.
import {isOver} from './carry-aboard.js';
import {clockNow} from './carry-clock.js';
import {takeAlong} from './carry-take.js';
import {fact, onChange, possible} from './carry-store.js';
import {LOW_WORDS, many, moment, room, size} from './carry-words.js';

const NAMES = {'gate sheets': 'gate sheet', forms: 'form', 'hydraulics pages': 'Hydraulics page', photos: 'photo', 'map tiles': 'map tile'};
const LIFE_MS = 24 * 3600000;
const box = document.getElementById('carry');
const line = document.getElementById('carry-aboard');
const button = document.getElementById('carry-take');
let busy = false;

box.hidden = false;
if (possible && navigator.serviceWorker) await begin();
else {
  button.disabled = true;
  line.textContent = 'This browser keeps nothing at this address: a phone needs https for it.';
}

async function begin() {
  button.addEventListener('click', take);
  onChange(say);
  await say();
  const day = await fact('day');
  const {on, plan} = box.dataset;
  const stale = day && !isOver(day) && plan && !document.documentElement.dataset.carried && day.on_date === on && String(day.plan) !== plan;
  if (stale) await take();  // the office ordered the day again
}

async function take() {
  if (busy) return;
  busy = true;
  button.disabled = true;
  try {
    await takeAlong(box.dataset.list, box.dataset.worker, (words) => { line.textContent = words; });
    busy = false;
    await say();
  } catch (wrong) {
    busy = false;
    await say();
    line.append(` ${wrong.name === 'TypeError' || wrong.name === 'TimeoutError' ? 'The server does not answer, so nothing new was taken along.' : wrong.message}`);
  }
  button.disabled = false;
}

async function say() {
  if (busy) return;
  const [day, free, clock] = [await fact('day'), await room(), await clockNow()];
  const aboard = Boolean(day) && !isOver(day);
  box.dataset.aboard = aboard ? day.on_date : '';
  button.textContent = aboard ? 'Take the day along again' : 'Take the day along';
  const said = aboard ? aboardWords(day, clock) : ['Nothing is aboard. Take the day along while there is signal; then sheets, forms and map open without it.'];
  said.push(`${size(free.used)} are used here${free.low ? `. ${LOW_WORDS}` : aboard ? ', and there is room for a day’s photos.' : '.'}`);
  line.textContent = said.join(' ');
  const failed = aboard ? Object.entries(Object.groupBy(day.failed, ({kind, why}) => `${kind}: ${why}`)) : [];
  document.getElementById('carry-failed').replaceChildren(...failed.map(([words, all]) => Object.assign(document.createElement('li'), {textContent: `Not aboard: ${all.length} of the ${words}. Take it along again.`})));
}

function aboardWords(day, clock) {
  const now = new Date(Date.now() + clock.offset);
  const counted = Object.entries(NAMES).filter(([kind]) => day.counts[kind]).map(([kind, one]) => many(day.counts[kind], one));
  if (!day.sites) return [`You have no visit on ${day.on_date}, so nothing is aboard.`];
  return [
    `Aboard since ${moment(day.since + clock.offset, now)}: ${many(day.sites, 'site')} with ${counted.join(', ')}.`,
    'Another task, such as an alarm call, can be added to each form.',
    `It is shown until ${moment(day.since + LIFE_MS + clock.offset, now)}, then destroyed.`,
    day.persisted ? '' : 'The browser may clear it when the phone runs short of room.',
  ].filter(Boolean);
}
