// The recording page: readings are checked as they are typed, a difference asks for its reason, and
// the visit is sent as a record. Without this script the form does the same, checked by the server.
import {keepPhotos} from './photo-add.js';
import {complaintsOf, verdictsOf} from './closing-checks.js';
import {answersTo, firstWay} from './record-checks.js';
import {easeTaps} from './record-taps.js';
import {furtherTasks} from './further-tasks.js';
import {closeVisit, keepNote, pressNow, takeUp} from './carry-record.js';

const form = document.getElementById('record');
const get = (name) => form.elements.namedItem(name);
const told = await load();

form.classList.add('has-script');
for (const button of form.querySelectorAll('[data-now]')) {
  button.hidden = false;
  button.addEventListener('click', () => sayNow(button));
}
const ease = easeTaps(form, look, rateOf);
form.addEventListener('change', ({target}) => look(target));
form.addEventListener('submit', send);
const addNamed = furtherTasks(form, told, ease, look);
look(form);
await takeUp(form, () => look(form), addNamed);

/** The form as data; without it the server alone checks. */
async function load() {
  const asked = new URL(form.dataset.form, window.location.href);
  new URLSearchParams(window.location.search).forEach((value, name) => asked.searchParams.append(name, value));
  try {
    const answer = await fetch(asked, {credentials: 'same-origin'});
    return answer.ok ? await answer.json() : null;
  } catch {
    return null;
  }
}

/** The time of day is now; the office is told that somebody is on site, or has left. */
function sayNow(button) {
  pressNow(get(button.dataset.now), clock);
  if (button.dataset.now === 'arrived_at') get('hazards_seen').checked = true;
  if (get('from_paper')?.checked) return;
  keepNote({id: crypto.randomUUID(), kind: button.dataset.kind, site_id: get('site_id').value, site: form.dataset.site, on_date: get('on_date').value, at: new Date().toISOString()});
}

/** Look again at what a change touches. */
function look(target) {
  const reading = target.closest?.('.reading');
  const readings = reading && !target.name.endsWith('.answer') ? [reading] : [];
  if (target === form) readings.push(...form.querySelectorAll('.reading'));
  readings.forEach(check);
  if (reading) besides(reading).filter((one) => !readings.includes(one)).forEach(check);
  form.querySelectorAll('.reason[data-key]').forEach(askWhyLeft);
  form.querySelectorAll('.reason[data-item]').forEach((one) => {
    one.classList.toggle('needed', picked(`${one.dataset.item}.said`) === 'changed');
  });
  form.querySelectorAll('.left-over').forEach((one) => {
    const outcome = picked(one.querySelector('input').name.replace(/note$/, 'outcome'));
    one.classList.toggle('needed', Boolean(outcome) && outcome !== 'done');
  });
  form.querySelectorAll('.finding').forEach(sayDuty);
  form.dispatchEvent(new Event('looked'));
}

/** A part that is left otherwise than found, or otherwise than in order, needs a reason. */
function askWhyLeft(reason) {
  const [found, left] = ['as_found', 'as_left'].map((half) => {
    const state = form.querySelector(`.state[data-key="${reason.dataset.key}"][data-half="${half}"]`);
    return {value: stateOf(state), expected: state.dataset.expected};
  });
  const same = (one, other) => one === other || (one !== '' && other !== '' && Number(one) === Number(other));
  const wrong = left.expected !== '' && !same(left.value, left.expected);
  reason.classList.toggle('needed', Boolean(left.value) && (!same(found.value, left.value) || wrong));
}

function stateOf(state) {
  const radios = [...state.querySelectorAll('input[type="radio"]')];
  return radios.length ? radios.find((one) => one.checked)?.value ?? '' : state.querySelector('input').value.trim();
}

/** Say of one reading what the rules say, and ask for an answer where one is needed. */
function check(reading) {
  if (!told) return;
  const verdicts = said(reading);
  const box = reading.querySelector('.verdict');
  const name = `${reading.dataset.reading}.answer`;
  const given = picked(name);
  box.replaceChildren(...verdicts.map(({words}) => Object.assign(document.createElement('p'), {textContent: words})));
  const needed = verdicts.some((one) => one.level === 'blocked') ? [] : answersTo(verdicts);
  if (needed.length) box.append(keys(name, needed, given));
  const field = reading.querySelector('.field input');
  if (field) field.toggleAttribute('aria-invalid', false);
  if (field && verdicts.length) field.setAttribute('aria-invalid', 'true');
}

function said(reading) {
  const {kind, system, component} = reading.dataset;
  const value = picked(`${reading.dataset.reading}.value`);
  return verdictsOf({kind, system_id: system, component_id: component, value}, told, valuesOf(system));
}

/** The numbers of one system that are typed so far, by kind. */
function valuesOf(system) {
  const values = {};
  for (const one of form.querySelectorAll(`.reading[data-system="${system}"]`)) {
    const text = picked(`${one.dataset.reading}.value`);
    if (text && new RegExp(told.checks.number_like).test(text)) values[one.dataset.kind] = Number(text);
  }
  return values;
}

/** The pump's rate by drawdown, gallons per inch and minutes; null where one is not known. */
function rateOf(system) {
  const pair = told?.checks.pairs.find((one) => one.code === 'drawdown and rate');
  const file = told?.on_file[system] ?? {figures: {}, befores: {}};
  return pair ? firstWay(pair, valuesOf(system), file.befores, file.figures) : null;
}

/** Readings beside which two ways are compared, when one of the ways changes. */
function besides(reading) {
  const kinds = told ? told.checks.pairs.map((pair) => pair.beside) : [];
  return [...form.querySelectorAll(`.reading[data-system="${reading.dataset.system}"]`)]
    .filter((one) => kinds.includes(one.dataset.kind));
}

function keys(name, words, chosen) {
  const set = document.createElement('fieldset');
  set.className = 'choices';
  const legend = Object.assign(document.createElement('legend'), {textContent: 'Your answer'});
  const row = Object.assign(document.createElement('div'), {className: 'keys'});
  for (const word of words) {
    const key = Object.assign(document.createElement('label'), {className: 'key'});
    const radio = Object.assign(document.createElement('input'), {type: 'radio', name, value: word, checked: word === chosen});
    key.append(radio, Object.assign(document.createElement('span'), {textContent: word}));
    row.append(key);
  }
  set.append(legend, row);
  return set;
}

function sayDuty(finding) {
  const kind = told?.findings.kinds.find((one) => one.kind === finding.querySelector('[name$=".kind"]').value);
  const serious = finding.querySelector('[name$=".seriousness"]:checked')?.value ?? kind?.seriousness;
  const words = kind ? [kind.do_now, told.findings.duty[serious]].filter(Boolean).join(' ') : '';
  finding.querySelector('.duty').textContent = words;
}

/** Keep the visit and send it; what is wrong is said on this page, and nothing typed is lost. */
async function send(event) {
  event.preventDefault();
  const ending = event.submitter?.value ?? 'done';
  if (!get('left_at').value && get('arrived_at').value && !get('from_paper')?.checked) pressNow(get('left_at'), clock);
  const record = {...unfolded(new FormData(form)), ending, kind: 'visit', site: form.dataset.site};
  const open = told ? complaintsOf(record, told) : [];
  if (open.length) {
    complain(open);
    return;
  }
  try {
    await keepPhotos();
  } catch (wrong) {
    document.getElementById('sending').textContent = wrong.message;
    return;
  }
  await closeVisit(form, record, complain);
}

function complain(complaints) {
  const box = document.getElementById('complaints');
  const section = Object.assign(document.createElement('section'), {className: 'errors', tabIndex: -1});
  section.setAttribute('role', 'alert');
  const list = document.createElement('ul');
  list.append(...complaints.map((words) => Object.assign(document.createElement('li'), {textContent: words})));
  section.append(Object.assign(document.createElement('h2'), {textContent: 'This keeps the visit open'}), list);
  box.replaceChildren(section);
  section.focus();
}

/** The record of a form whose fields are named like readings.3.value, as the server makes it. */
function unfolded(data) {
  const body = {};
  const rows = {};
  for (const [name, value] of data) {
    const parts = name.split('.');
    if (parts.length === 1) body[name] = value;
    else ((rows[parts[0]] ??= {})[Number(parts[1])] ??= {})[parts[2]] = value;
  }
  for (const [name, found] of Object.entries(rows)) {
    body[name] = Object.keys(found).map(Number).sort((a, b) => a - b).map((number) => found[number]);
  }
  return body;
}

function picked(name) {
  const field = get(name);
  return (field?.value ?? '').trim();
}

function clock(moment) {
  const zone = form.dataset.zone;
  return new Intl.DateTimeFormat('en-GB', {hour: '2-digit', minute: '2-digit', hourCycle: 'h23', timeZone: zone}).format(moment);
}
