// Photos on the recording page: taken, made small, looked at, and put into the outbox, which keeps
// them until the server has them. Closing the visit keeps what was only looked at.
import {flush, keep, possible} from './outbox.js';
import {shrink} from './photo-shrink.js';

const form = document.getElementById('record');
const open = new Set();

for (const place of document.querySelectorAll('.photo-add')) {
  place.hidden = false;
  for (const input of place.querySelectorAll('input')) input.addEventListener('change', () => take(place, input));
}

/** Put all photos that were only looked at into the outbox; to be awaited before the visit is sent. */
export async function keepPhotos() {
  const kept = await Promise.all([...open].map((one) => keepPhoto(one)));
  if (kept.includes(false)) throw new Error('A photo could not be kept. Look at what stands beside it, or remove it.');
}

async function take(place, input) {
  const photos = [...input.files];
  input.value = '';
  const wrong = [];
  for (const photo of photos) {
    say(place, 'Making the photo smaller …');
    try {
      const one = {id: crypto.randomUUID?.(), place, ...await shrink(photo)};
      open.add(one);
      show(one);
    } catch ({message}) {
      wrong.push(message);
    }
    say(place, wrong.join(' '));
  }
}

/** The photo as it will be sent, with its caption and what can be done with it. */
function show(one) {
  const item = document.createElement('li');
  const image = Object.assign(new Image(), {src: URL.createObjectURL(one.file), alt: 'The photo as it will be sent'});
  const label = Object.assign(document.createElement('label'), {textContent: 'What it shows'});
  one.caption = Object.assign(document.createElement('input'), {maxLength: 200, autocomplete: 'off'});
  label.append(one.caption);
  one.keys = document.createElement('p');
  one.keys.append(button('Keep the photo', () => keepPhoto(one)), ' ', button('Remove', () => remove(one)));
  one.line = document.createElement('p');
  one.line.append(label);
  item.append(image, one.line, one.keys);
  one.item = item;
  one.place.querySelector('.photo-waiting').append(item);
  one.caption.focus({preventScroll: true});
}

function button(words, action) {
  const made = Object.assign(document.createElement('button'), {type: 'button', textContent: words});
  made.addEventListener('click', action);
  return made;
}

function remove(one) {
  open.delete(one);
  one.item.remove();
  say(one.place, 'Removed.');
  one.place.querySelector('input').focus();
}

/** Keep one photo; false = it could not be kept and waits on the page. */
async function keepPhoto(one) {
  if (!open.delete(one)) return true;
  const body = {
    id: one.id,
    site_id: Number(form.elements.site_id.value),
    visit_id: form.elements.id.value,
    finding_id: beside(one.place, '.id') ?? '',
    component_id: beside(one.place, '.component_id') || null,
    technician_id: form.elements.technician_id?.value ?? '',
    taken_at: one.taken.toISOString(),
    caption: one.caption.value.trim(),
    preview: one.preview,
  };
  try {
    await (possible ? keep('photo', body, one.file) : send(body, one.file));
  } catch (wrong) {
    open.add(one);
    say(one.place, wrong.message);
    return false;
  }
  one.keys.remove();
  one.line.textContent = body.caption;
  say(one.place, possible ? 'Kept on this device until the server has it.' : 'Sent.');
  if (possible) tell(one);
  return true;
}

/** Say what became of a photo that waits. */
async function tell(one) {
  const {answers} = await flush();
  const answer = answers[one.id];
  if (answer) say(one.place, answer.status === 'refused' ? answer.complaints.join(' ') : 'Sent.');
}

/** Straight to the server, where a browser keeps nothing for later and makes no id: without https. */
async function send(body, file) {
  const fields = new FormData();
  fields.set('body', JSON.stringify(body));
  fields.set('sent_at', new Date().toISOString());
  fields.set('file', file);
  let answer;
  try {
    answer = await fetch('/photos', {method: 'POST', body: fields, headers: {Accept: 'application/json'}});
  } catch {
    throw new Error('The photo is not sent: the server does not answer. Keep this page open and try again.');
  }
  const said = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Error(`The photo is not sent. ${(said.complaints ?? ['Try again.']).join(' ')}`);
}

/** What the finding beside a photo has in a field; undefined where the photo is of the visit. */
function beside(place, ending) {
  return place.closest('.finding')?.querySelector(`[name$="${ending}"]`)?.value;
}

function say(place, words) {
  place.querySelector('.photo-said').textContent = words;
}
