// A visit that is begun stays on the phone while it is typed, and survives a page that is loaded again.
import {announce, keyOf, possible, sealJson, told, unsealJson, within} from './carry-store.js';

const PAUSE_MS = 300;
const DAYS_KEPT_MS = 14 * 24 * 3600000;
const KEEP_OF_PAGE = new Set(['site_id', 'on_date']);
/** Fields that the page itself says. */

/** How many visits are begun and not closed. */
export async function draftsBegun() {
  return possible ? within(['drafts'], 'readonly', ({drafts}) => told(drafts.count())) : 0;
}

/** Keep what is typed into a form; returns what to call when the visit is closed. */
export function keepDraft(form) {
  if (!possible) return async () => null;
  const address = window.location.pathname;
  let timer = null;
  let closed = false;
  const save = async () => {
    clearTimeout(timer);
    timer = null;
    if (closed) return;
    const entries = [...new FormData(form)].filter(([, value]) => typeof value === 'string');
    const sealed = await sealJson(await keyOf('outbox'), {entries});
    await within(['drafts'], 'readwrite', ({drafts}) => told(drafts.put({address, sealed, at: Date.now()})));
    form.dataset.draft = 'kept';
  };
  const later = () => {
    form.dataset.draft = 'typing';
    clearTimeout(timer);
    timer = setTimeout(save, PAUSE_MS);
  };
  form.addEventListener('input', later);
  form.addEventListener('change', later);
  form.addEventListener('click', ({target}) => { if (target.closest('button[type="button"]')) later(); });
  document.addEventListener('visibilitychange', () => { if (timer && document.hidden) save(); });
  return async () => {
    closed = true;
    clearTimeout(timer);
    await forgetDraft(address);
  };
}

export async function forgetDraft(address) {
  if (!possible) return;
  await within(['drafts'], 'readwrite', ({drafts}) => told(drafts.delete(address)));
  announce();
}

/** The draft of this page, {entries, at}, or null. Those nobody came back to are forgotten. */
export async function draftHere() {
  if (!possible) return null;
  const rows = await within(['drafts'], 'readonly', ({drafts}) => told(drafts.getAll()));
  for (const one of rows.filter(({at}) => Date.now() - at > DAYS_KEPT_MS)) await forgetDraft(one.address);
  const row = rows.find(({address}) => address === window.location.pathname);
  return row ? {...await unsealJson(await keyOf('outbox'), row.sealed), at: row.at} : null;
}

/** Fill a form from its entries. `look` makes the fields that follow from others, so it is filled twice. */
export function fillForm(form, entries, look) {
  const values = Map.groupBy(renumbered(form, entries), ([name]) => name);
  for (let round = 0; round < 2; round += 1) {
    for (const field of form.elements) {
      if (!field.name || KEEP_OF_PAGE.has(field.name)) continue;
      const said = (values.get(field.name) ?? []).map(([, value]) => value);
      if (['radio', 'checkbox'].includes(field.type)) field.checked = said.includes(field.value);
      else if (said.length && field.type !== 'file' && field.type !== 'submit' && field.type !== 'button') [field.value] = said;
    }
    look();
  }
  for (const fold of form.querySelectorAll('details')) {
    if ([...fold.querySelectorAll('input, select, textarea')].some((one) => (one.type === 'radio' || one.type === 'checkbox' ? one.checked : one.type !== 'hidden' && one.value))) fold.open = true;
  }
}

/** What tells the rows of a form apart; other rows go by their number. */
const TOLD_BY = {readings: ['kind', 'system_id', 'component_id'], states: ['what', 'component_id'], outcomes: ['system_id', 'task'], answers: ['item']};

/**
 * Entries with the numbers that their rows have in this form: it may ask for more or less than the
 * one that they come from. A row that this form does not have is left out.
 */
function renumbered(form, entries) {
  const rowsOf = (all) => {
    const rows = Object.fromEntries(Object.keys(TOLD_BY).map((group) => [group, {}]));
    for (const [name, value] of all) {
      const [group, number, key] = name.split('.');
      if (TOLD_BY[group]?.includes(key)) (rows[group][number] ??= {})[key] = value;
    }
    return rows;
  };
  const asText = (group, row) => TOLD_BY[group].map((key) => row[key] ?? '').join('|');
  const here = rowsOf([...form.elements].filter(({type}) => type === 'hidden').map(({name, value}) => [name, value]));
  const numbers = {};
  for (const [group, rows] of Object.entries(here)) {
    for (const [number, row] of Object.entries(rows)) numbers[`${group}|${asText(group, row)}`] = number;
  }
  const then = rowsOf(entries);
  return entries.flatMap(([name, value]) => {
    const [group, number, key] = name.split('.');
    if (!TOLD_BY[group]) return [[name, value]];
    const found = numbers[`${group}|${asText(group, then[group][number] ?? {})}`];
    return found === undefined ? [] : [[`${group}.${found}.${key}`, value]];
  });
}

/** The entries of a record, as its form names them. */
export function folded(record) {
  return Object.entries(record).flatMap(([name, value]) => (Array.isArray(value)
    ? value.flatMap((row, number) => Object.entries(row).map(([key, said]) => [`${name}.${number}.${key}`, String(said ?? '')]))
    : [[name, String(value ?? '')]]));
}
