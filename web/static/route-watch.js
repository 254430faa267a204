// Whether the own route was changed since this phone last knew it: asked every minute while there
// is signal, and when the page is looked at again. "Seen" tells the office.

const EVERY_MS = 60_000;
const box = document.getElementById('route-watch');
const key = `riserway-plan-${box.dataset.on}`;
let newest = 0;

document.addEventListener('visibilitychange', () => { if (!document.hidden) ask(); });
setInterval(() => { if (!document.hidden) ask(); }, EVERY_MS);
ask();

async function ask() {
  const known = localStorage.getItem(key) ?? '0';
  let change;
  try {
    const answer = await fetch(`${box.dataset.change}?since=${known}`, {credentials: 'same-origin'});
    if (!answer.ok) return;
    change = await answer.json();
  } catch {
    return; // no signal: asked again in a minute
  }
  newest = change.number;
  if (change.said.length) show(change);
  else localStorage.setItem(key, String(newest));
}

function show(change) {
  const made = (tag, more) => Object.assign(document.createElement(tag), more);
  const lines = made('ul');
  lines.append(...change.said.map((words) => made('li', {textContent: words})));
  const button = made('button', {type: 'button', className: 'wide', textContent: 'I have seen it'});
  button.addEventListener('click', seen);
  const last = made('p');
  last.append(button, ' ', made('a', {href: box.dataset.day, textContent: 'My route'}));
  box.replaceChildren(made('h2', {textContent: `Your route was changed at ${change.changed_at}`}), lines, last);
  box.hidden = false;
}

async function seen() {
  try {
    const answer = await fetch(box.dataset.seen, {
      method: 'POST', credentials: 'same-origin', headers: {'Content-Type': 'application/json'}, body: JSON.stringify({number: newest}),
    });
    if (!answer.ok) return;
  } catch {
    return; // the box stays until the office can be told
  }
  localStorage.setItem(key, String(newest));
  box.hidden = true;
}
