// Whether a reading can be, by the tables of registry/field/reading_checks.py that the form's data
// holds; tests/unit/field/reading_cases.json holds both to the same answers.

/** What the rules say of one reading: a list of {level, rule, words, choices}. */
export function checkReading(rules, text, kind, last = {}) {
  const said = text.trim();
  if (kind.input === 'choice') {
    if (kind.choices.includes(said)) return [];
    return [blocked(rules, 'no choice', {text: said, choices: kind.choices.join(', ')})];
  }
  const told = {text: said, kind: kind.code, unit_in: unitIn(kind.unit), day: last.on ?? ''};
  if (!new RegExp(rules.number_like).test(said)) return [blocked(rules, 'no number', told)];
  const value = Number(said);
  Object.assign(told, {value: plain(value), last: plain(last.value ?? 0)});
  if (kind.whole && !Number.isInteger(value)) return [blocked(rules, 'not whole', told)];
  const before = last.value != null && last.unit === (kind.unit ?? '') ? last.value : null;
  const slips = slip(rules, value, kind, before, told);
  if (kind.possible && (value < kind.possible[0] || value > kind.possible[1])) {
    return [blocked(rules, 'impossible', {...told, ...limits(kind.possible)}), ...slips];
  }
  return [...againstLast(rules, value, kind, before, told), ...slips, ...unusual(rules, value, kind, told)];
}

/** What is asked where two ways to one figure differ. */
export function checkPair(rules, pair, values, befores, file) {
  const [a, b] = [pair.a, pair.b].map((way) => product(way, values, befores, file));
  if (a === null || b === null || Math.max(a, b) <= 0) return [];
  const apart = Math.abs(a - b) / Math.max(a, b);
  if (apart <= pair.within_share) return [];
  return [asks(rules, 'two ways', {
    percent: wholePercent(apart), a_words: pair.a_words, b_words: pair.b_words,
    a: plain(a, 1), b: plain(b, 1), unit_in: unitIn(pair.unit), limit: plain(100 * pair.within_share),
  })];
}

/** What the first of two ways gives, as it would be typed; null where one factor is not known. */
export function firstWay(pair, values, befores, file) {
  const found = product(pair.a, values, befores, file);
  return found === null ? null : plain(found, 1);
}

/** The answers of which one must be given; none where nothing is asked. */
export function answersTo(verdicts) {
  const asked = verdicts.filter((one) => one.level === 'asks');
  const back = asked.filter((one) => one.rule === 'went back');
  return (back[0] ?? asked[0])?.choices ?? [];
}

/** A number with no more digits than it needs. */
export function plain(value, decimals = 3) {
  const said = value.toFixed(decimals);
  return said.includes('.') ? said.replace(/0+$/, '').replace(/\.$/, '') : said;
}

function againstLast(rules, value, kind, last, told) {
  if (last === null) return [];
  const found = [];
  if (kind.counts_up && value < last) found.push(asks(rules, 'went back', told, rules.went_back));
  if (value === last && value !== 0 && !kind.may_repeat) found.push(asks(rules, 'same', told));
  if (kind.change_share == null || last === 0) return found;
  const moved = (value - last) / Math.abs(last);
  if (Math.abs(moved) > kind.change_share) {
    const [way, cause] = moved < 0 ? ['less', kind.down] : ['more', kind.up];
    found.push(asks(rules, 'change', {
      ...told, percent: wholePercent(moved), way, cause: cause || 'that something changed',
    }));
  }
  return found;
}

function unusual(rules, value, kind, told) {
  if (!kind.usual || isUsual(value, kind)) return [];
  return [asks(rules, 'unlikely', {...told, ...limits(kind.usual)})];
}

function slip(rules, value, kind, last, told) {
  const near = (one) => Math.abs(one - last) <= rules.near_share * Math.abs(last);
  const right = last === null ? !kind.usual || isUsual(value, kind) : near(value);
  if (value <= 0 || right) return [];
  for (const [other, factor] of rules.slips[kind.unit ?? ''] ?? []) {
    const meant = value * factor;
    if (last === null ? isUsual(meant, kind) : near(meant)) {
      return [asks(rules, 'unit', {...told, other, converted: plain(meant, 1)})];
    }
  }
  return [];
}

function product(way, values, befores, file) {
  let found = 1;
  for (const {source, name, power} of way) {
    let factor = source === 'number' ? Number(name) : (source === 'file' ? file : values)[name] ?? null;
    if (source === 'gone' && factor !== null) {
      const before = befores[name] ?? null;
      factor = before !== null && factor >= before ? factor - before : null;
    }
    if (factor === null || (factor === 0 && power < 0)) return null;
    found *= factor ** power;
  }
  return found;
}

const isUsual = (value, kind) => Boolean(kind.usual) && value >= kind.usual[0] && value <= kind.usual[1];
const limits = ([low, high]) => ({low: plain(low), high: plain(high)});
const unitIn = (unit) => (unit ? ` ${unit}` : '');
const wholePercent = (share) => String(Math.floor(100 * Math.abs(share) + 0.5));
const filled = (words, told) => words.replace(/\{(\w+)\}/g, (_, name) => told[name] ?? '');
const blocked = (rules, rule, told) => ({level: 'blocked', rule, words: filled(rules.words[rule], told), choices: []});
const asks = (rules, rule, told, choices = rules.keep) => ({level: 'asks', rule, words: filled(rules.words[rule], told), choices});
