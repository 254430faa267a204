// Tasks that nobody planned are added to the form on the page itself, so that it needs no signal and
// nothing typed is lost. The page holds each one ready; a reading that is asked already is not asked twice.

/**
 * `told` is the form as data: tasks that are added are held to their rules like the others. `ease`
 * makes the one-tap keys of new readings work, `look` looks at the form again. Returns what adds
 * the tasks that the entries of a form name.
 */
export function furtherTasks(form, told, ease, look) {
  const held = [...document.querySelectorAll('template.further')];
  const box = document.getElementById('add-task');
  if (!box || !told) return () => null;
  const planned = told.tasks;
  const list = box.querySelector('select');
  const first = document.getElementById('read-first');
  const all = document.getElementById('all-tasks');
  const added = [];
  list.append(...held.map((one, number) => new Option(one.dataset.name, number)));
  document.getElementById('ask-anew').hidden = true;
  box.hidden = false;
  box.querySelector('button').addEventListener('click', () => {
    const section = add(held[list.value]);
    section?.scrollIntoView({block: 'start'});
    section?.querySelector('h3').focus({preventScroll: true});
  });

  function add(template) {
    if (!template || added.some((one) => one.template === template)) return null;
    const asked = new Set([...form.querySelectorAll('.reading')].map(keyHere));
    const made = template.content.cloneNode(true);
    made.querySelectorAll('.reading').forEach((one) => { if (asked.has(keyHere(one))) one.remove(); });
    const readings = [...made.querySelectorAll('.reading')];
    const section = made.querySelector('.task');
    first.append(...made.querySelectorAll('.first > .reading'));
    all.before(section);
    section.querySelector('h3').tabIndex = -1;
    section.querySelector('.take-off').addEventListener('click', () => takeOff(template));
    readings.forEach(ease);
    added.push({template, section, form: told.further[held.indexOf(template)]});
    count();
    return section;
  }

  /** What an added task alone asks for goes with it; what another one asks for too moves there. */
  function takeOff(template) {
    const gone = added.splice(added.findIndex((one) => one.template === template), 1)[0];
    const keys = new Set(gone.form.readings.map(keyOf));
    planned.flatMap(({readings}) => readings).forEach((one) => keys.delete(keyOf(one)));
    for (const reading of [...form.querySelectorAll('.reading')].filter((one) => keys.has(keyHere(one)))) {
      const heir = added.find((one) => one.form.readings.some((ask) => keyOf(ask) === keyHere(reading)));
      if (!heir) reading.remove();
      else if (gone.section.contains(reading)) heir.section.querySelector('.choices:last-of-type').before(reading);
    }
    gone.section.remove();
    count();
    list.focus();
  }

  function count() {
    const asked = new Set(planned.flatMap(({readings}) => readings).map(keyOf));
    told.tasks = [...planned, ...added.map(({form: one}) => {
      const readings = one.readings.filter((ask) => !asked.has(keyOf(ask)));
      readings.forEach((ask) => asked.add(keyOf(ask)));
      return {...one, readings};
    })];
    for (const option of list.options) option.disabled = option.hidden = added.some((one) => one.template === held[option.value]);
    const next = [...list.options].find((one) => !one.disabled);
    if (next) list.value = next.value;
    box.hidden = !next;
    const tasks = form.querySelectorAll('.task').length;
    all.hidden = tasks < 2;
    all.querySelector('span').textContent = tasks;
    first.querySelector('h3').hidden = !first.querySelector('.reading');
    look(form);
  }

  return (entries) => {
    const said = Object.fromEntries(entries);
    for (const [name, task] of entries.filter(([one]) => /^outcomes\.\d+\.task$/.test(one))) {
      const system = said[name.replace(/task$/, 'system_id')];
      const here = planned.some((one) => one.task === task && String(one.system_id) === system);
      if (!here) add(held.find(({dataset}) => dataset.task === task && dataset.system === system));
    }
  };
}

const keyHere = ({dataset: {kind, system, component}}) => `${kind}|${system}|${component}`;
const keyOf = ({kind, system_id: system, component_id: component}) => `${kind}|${system}|${component ?? ''}`;
