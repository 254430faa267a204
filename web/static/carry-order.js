// A technician's own order of the stops that remain: kept here, and told to the office.
import {fact, noteFact, possible} from './carry-store.js';
import {keep, flush} from './outbox.js';

const box = document.getElementById('own-order');
if (box && possible) await begin();

async function begin() {
  const {on} = box.dataset;
  const list = box.querySelector('ol');
  const closed = new Set((await fact('closed'))?.[on] ?? []);
  const rows = new Map([...list.children].map((one) => [Number(one.dataset.site), one]));
  for (const site of closed) rows.get(site)?.remove();
  const own = (await fact('order'))?.[on] ?? [];
  for (const site of own) if (list.contains(rows.get(site))) list.append(rows.get(site));
  box.querySelector('details').open = closed.size + own.length > 0;
  list.addEventListener('click', ({target}) => move(list, target.closest('[data-move]'), on));
  mark(list);
  box.hidden = list.children.length < 2;
}

async function move(list, button, on) {
  if (!button) return;
  const row = button.closest('li');
  const other = button.dataset.move === '1' ? row.nextElementSibling : row.previousElementSibling;
  if (!other) return;
  if (button.dataset.move === '1') other.after(row);
  else other.before(row);
  mark(list);
  (button.disabled ? row.querySelector('[data-move]:not(:disabled)') : button).focus();
  const sites = [...list.children].map((one) => Number(one.dataset.site));
  await noteFact('order', {[on]: sites});
  await keep('records', {id: await idOf(on), kind: 'order', on_date: on, site_ids: sites, at: new Date().toISOString()});
  document.getElementById('own-order-said').textContent = `${row.dataset.key} is now number ${sites.indexOf(Number(row.dataset.site)) + 1}. Kept on this phone.`;
  flush();
}

/** What waits is replaced by the next order of the day; what was sent is told anew. */
async function idOf(on) {
  const last = await fact('order id');
  const id = last?.on === on ? last.id : crypto.randomUUID();
  await noteFact('order id', {on, id});
  return id;
}

function mark(list) {
  [...list.children].forEach((row, number, all) => {
    row.querySelector('[data-move="-1"]').disabled = number === 0;
    row.querySelector('[data-move="1"]').disabled = number === all.length - 1;
  });
}
