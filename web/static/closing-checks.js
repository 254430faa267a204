// What keeps a visit from being closed, said on the phone in the server's words, so that nothing is
// left open where nobody answers: registry/field/visit_checks.py and closing.py, which have the last word.
import {answersTo, checkPair, checkReading} from './record-checks.js';

/** What keeps a record from being closed, by the form's data; nothing where all is in order. */
export function complaintsOf(record, told) {
  const words = told.closing.visit_words;
  const said = [...ofReadings(record, told, words)];
  if (told.off_route && !record.supersedes && !record.off_route) said.unshift(words['off route']);
  if (record.ending === 'not reached') return record.left_open ? said : [...said, words['not reached']];
  if (told.has_hazards && !record.hazards_seen) said.unshift(words.hazards);
  if (record.ending === 'had to leave') return record.left_open ? said : [...said, words.left];
  return [...said, ...ofTasks(record, told, words), ...ofStates(record, told.closing), ...ofItems(record, told.closing)];
}

/** What the rules say of one reading, the other values of its system beside it. */
export function verdictsOf(reading, told, values) {
  const text = (reading.value ?? '').trim();
  if (!text) return [];
  const ask = askOf(reading, told);
  const rules = told.checks;
  const last = ask ? {value: ask.last, unit: ask.last_unit, on: ask.last_on} : {};
  const found = checkReading(rules, text, rules.kinds[reading.kind] ?? {code: reading.kind}, last);
  const file = told.on_file[reading.system_id] ?? {figures: {}, befores: {}};
  for (const pair of rules.pairs.filter((one) => one.beside === reading.kind)) {
    found.push(...checkPair(rules, pair, values, file.befores, file.figures));
  }
  return found;
}

function* ofReadings(record, told, words) {
  for (const reading of record.readings ?? []) {
    const verdicts = verdictsOf(reading, told, valuesBeside(reading, record, told));
    const name = nameOf(reading.kind, askOf(reading, told)?.part);
    const blocked = verdicts.filter(({level}) => level === 'blocked');
    for (const one of blocked) yield filled(words.blocked, {reading: name, words: one.words});
    const needed = answersTo(verdicts);
    if (needed.length && !blocked.length && !needed.includes(reading.answer)) {
      yield filled(words.unanswered, {reading: name, words: verdicts.map((one) => one.words).join(' '), choices: needed.join(', or ')});
    }
  }
}

/** The numbers of a reading's system that can be, by kind. */
function valuesBeside({system_id: system}, record, told) {
  const values = {};
  for (const one of record.readings) {
    const text = (one.value ?? '').trim();
    if (one.system_id !== system || !new RegExp(told.checks.number_like).test(text)) continue;
    const kind = told.checks.kinds[one.kind] ?? {code: one.kind};
    if (checkReading(told.checks, text, kind).every(({level}) => level !== 'blocked')) values[one.kind] = Number(text);
  }
  return values;
}

function* ofTasks(record, told, words) {
  const read = new Set((record.readings ?? []).filter((one) => one.value?.trim() || one.note?.trim()).map(keyOf));
  for (const task of told.tasks) {
    const said = (record.outcomes ?? []).find((one) => one.task === task.task && Number(one.system_id) === task.system_id);
    const name = task.system ? `${task.name}, ${task.system}` : task.name;
    if (!said?.outcome) {
      yield filled(words['no outcome'], {task: name});
    } else if (said.outcome !== 'done') {
      if (!said.note?.trim()) yield filled(words['left over'], {task: name});
    } else {
      for (const ask of task.readings) {
        if (ask.needed && !read.has(keyOf(ask))) yield filled(words['no reading'], {reading: nameOf(ask.kind, ask.part)});
      }
    }
  }
}

function* ofStates(record, {states, words, most_turns: most}) {
  for (const ask of states) {
    const state = (record.states ?? []).find((one) => one.what === ask.what && String(one.component_id ?? '') === String(ask.component_id ?? ''));
    const [found, left] = [state?.as_found?.trim() ?? '', state?.as_left?.trim() ?? ''];
    const say = (word, told = {}) => filled(words[word], {what: ask.label, found, left, in_order: ask.in_order, ...told});
    if (!found) yield say('no as found');
    if (!left) yield say('no as left');
    if (!found || !left) continue;
    const isValve = ask.what === 'valve';
    const wrong = isValve ? [found, left].filter((one) => !(Number(one) >= 0 && Number(one) <= most)) : [];
    if (wrong.length) yield say('no turns', {said: wrong[0], most});
    if (wrong.length || state.reason?.trim()) continue;
    const same = (one, other) => (isValve ? Number(one) === Number(other) : one === other);
    if (!same(found, left)) yield say('other');
    else if (ask.in_order && !same(left, ask.in_order)) yield say('wrong');
  }
}

function* ofItems(record, {items, words}) {
  for (const {item, text} of items) {
    const answer = (record.answers ?? []).find((one) => one.item === item && one.said);
    if (!answer) yield filled(words.unanswered, {what: text});
    else if (answer.said === 'open') yield filled(words.open, {what: text});
    else if (answer.said === 'changed' && !answer.reason?.trim()) yield filled(words.changed, {what: text});
  }
}

const askOf = (reading, told) => told.tasks.flatMap(({readings}) => readings).find((one) => keyOf(one) === keyOf(reading));
const keyOf = ({kind, system_id: system, component_id: component}) => [kind, system ?? '', component ?? ''].join('|');
const nameOf = (kind, part) => `${kind[0].toUpperCase()}${kind.slice(1)}${part ? `, ${part}` : ''}`;
const filled = (words, told) => words.replace(/\{(\w+)\}/g, (_, name) => told[name] ?? '');
