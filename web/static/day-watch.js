// While the day runs: asks every minute, and when the page is looked at again, how it goes, and
// tells it on the open page: where everybody is, what was noted, who is not heard of, a newer plan.

const EVERY_MS = 60_000;
const section = document.getElementById('running');

if (section?.dataset.url) {
  document.addEventListener('visibilitychange', () => { if (!document.hidden) ask(); });
  setInterval(() => { if (!document.hidden) ask(); }, EVERY_MS);
}

async function ask() {
  let day;
  try {
    const answer = await fetch(section.dataset.url, {credentials: 'same-origin'});
    if (!answer.ok) return;
    day = await answer.json();
  } catch {
    return; // asked again in a minute
  }
  tellPeople(day.people);
  tellNotes(day.notes);
  tellAlone(day.alone);
  const newest = day.versions[0]?.number ?? 0;
  document.getElementById('newer-plan').hidden = String(newest) === section.dataset.version;
  document.getElementById('told-at').textContent = `As of ${day.at}.`;
}

function tellPeople(people) {
  section.querySelector('.people').replaceChildren(...people.map(({technician, said}) => {
    const line = document.createElement('li');
    line.append(Object.assign(document.createElement('strong'), {textContent: technician}), `: ${said}`);
    return line;
  }));
}

/** New notes are added, those taken back go; what stays keeps its key to take it back. */
function tellNotes(notes) {
  const list = section.querySelector('.day-notes');
  const there = new Map([...list.children].map((one) => [one.dataset.note, one]));
  const now = new Set(notes.map((one) => String(one.note)));
  there.forEach((line, id) => { if (!now.has(id)) line.remove(); });
  for (const one of notes.filter(({note}) => !there.has(String(note)))) {
    const line = Object.assign(document.createElement('li'), {textContent: `${one.said} (${one.noted_by})`});
    line.dataset.note = one.note;
    list.append(line);
  }
  section.querySelector('.notes-title').hidden = notes.length === 0;
}

/** Who is not heard of is said at once; the box that came with the page has the same and more. */
function tellAlone(alone) {
  const live = document.getElementById('alone-live');
  const shown = document.getElementById('alone')?.textContent ?? '';
  const fresh = alone.filter(({said}) => !shown.includes(said));
  live.hidden = fresh.length === 0;
  const lines = fresh.map((one) => `${one.technician} ${one.said} Phone: ${one.phone ?? 'none on file'}.`);
  const list = live.querySelector('ul');
  if ([...list.children].map((line) => line.textContent).join() === lines.join()) return;
  list.replaceChildren(...lines.map((words) => Object.assign(document.createElement('li'), {textContent: words})));
}
