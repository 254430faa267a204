// Few taps for a usual visit: what is in order is said in one go, a figure that follows from others
// is worked out, Enter goes on to the next field. Nothing that was answered is answered over.

const WORKED = 'worked out from the drawdown';

/**
 * Make the one-tap keys work. `look` looks again at what a change touches, `rate` gives a rate.
 * Returns what does the same for a reading that comes later.
 */
export function easeTaps(form, look, rate) {
  const show = (button, act) => {
    if (!button) return;
    button.hidden = false;
    button.addEventListener('click', () => { act(); look(form); });
  };
  show(form.querySelector('#all-in-order'), () => {
    form.querySelectorAll('[data-half="as_found"], .reading[data-expected]').forEach((one) => fill(one, one.dataset.expected));
  });
  show(form.querySelector('#all-done'), () => {
    form.querySelectorAll('.task > .choices').forEach((one) => fill(one, 'done'));
  });
  form.querySelectorAll('.return-group').forEach((group) => easeGroup(form, group, show));
  const ease = (one) => { if (one.dataset.zero) easeZero(form, one, show); };
  form.querySelectorAll('.reading').forEach(ease);
  form.addEventListener('keydown', goOn);
  form.addEventListener('change', ({target}) => workOut(form, target, rate));
  return ease;
}

/** Choose or write a word where nothing stands yet. */
function fill(box, word) {
  if (!word) return;
  const radios = [...box.querySelectorAll('input[type="radio"]')].filter((one) => !one.name.endsWith('.answer'));
  const field = box.querySelector('.field input');
  if (radios.length && !radios.some((one) => one.checked)) radios.forEach((one) => { one.checked = one.value === word; });
  if (!radios.length && field && !field.value.trim()) field.value = word;
}

/** A group of the return to service: read out and confirmed in one go, else one by one. */
function easeGroup(form, group, show) {
  const fold = group.querySelector('.one-by-one');
  const parts = [...group.querySelectorAll('.state')];
  const items = [...group.querySelectorAll('.choices')].filter((one) => !one.closest('.state'));
  group.querySelector('.read-out').hidden = false;
  fold.open = false;
  show(group.querySelector('.all-yes'), () => {
    for (const part of parts) {
      const found = form.querySelector(`.state[data-key="${part.dataset.key}"][data-half="as_found"] .field input`);
      fill(part, found ? found.value.trim() : part.dataset.expected);
    }
    items.forEach((one) => fill(one, 'yes'));
  });
  form.addEventListener('looked', () => {
    const answered = [...parts, ...items].filter(isAnswered).length;
    const all = parts.length + items.length;
    group.querySelector('.answered').textContent = answered ? `${answered} of ${all} answered` : '';
    group.querySelector('.all-yes').setAttribute('aria-pressed', String(answered === all));
    if (group.querySelector('.reason.needed') || (answered && answered < all)) fold.open = true;
  });
}

function isAnswered(box) {
  const radios = [...box.querySelectorAll('input[type="radio"]')];
  return radios.length ? radios.some((one) => one.checked) : Boolean(box.querySelector('.field input')?.value.trim());
}

/** One key before the first of several readings that are often nothing: "all dry". */
function easeZero(form, reading, show) {
  const {kind, system, zero} = reading.dataset;
  const all = () => [...form.querySelectorAll(`.reading[data-kind="${kind}"][data-system="${system}"]`)];
  if (all()[0] !== reading) return;
  const label = `${all().length > 1 ? 'All ' : ''}${zero}: 0`;
  const button = Object.assign(document.createElement('button'), {type: 'button', className: 'zero', textContent: label});
  reading.before(button);
  show(button, () => all().forEach((one) => fill(one, '0')));
}

/** The pad's own key goes on to the next number instead of closing the visit. */
function goOn(event) {
  if (event.key !== 'Enter' || !event.target.matches('input:not([type="radio"], [type="checkbox"])')) return;
  event.preventDefault();
  const fields = [...event.currentTarget.querySelectorAll('.reading .field input')].filter((one) => one.checkVisibility());
  const next = fields[fields.indexOf(event.target) + 1];
  if (next && fields.includes(event.target)) next.focus();
  else event.target.blur();
}

/** The rate that a drawdown gives is written where none was typed, and says so. */
function workOut(form, target, rate) {
  const reading = target.closest?.('.reading');
  if (!reading) return;
  const beside = form.querySelector(`.reading[data-kind="pump rate"][data-system="${reading.dataset.system}"]`);
  if (!beside) return;
  const field = beside.querySelector('.field input');
  const note = beside.querySelector('select');
  if (reading === beside) {
    if (target === field && note.value === WORKED) says(beside, note, '');
    return;
  }
  const found = rate(reading.dataset.system);
  if (found === null || (field.value.trim() && note.value !== WORKED)) return;
  field.value = found;
  says(beside, note, WORKED);
}

/** The remark goes into the record; it stands beside the figure too. */
function says(reading, note, word) {
  if (![...note.options].some((one) => one.value === word)) note.add(new Option(word, word));
  note.value = word;
  reading.querySelector('.remark').textContent = word;
}
