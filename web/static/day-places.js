// Where a stop could go and what each place costs, as a list for keyboard and screen reader.

export class Places {
  constructor(hand) {
    this.hand = hand;
    this.box = document.getElementById('hand-places');
    this.all = false;
    this.cache = new Map();
    this.box.addEventListener('click', (event) => this.pressed(event));
  }

  /** All places for a stop on the routes as they are; asked once for each state. */
  async of(name) {
    const state = this.hand.now;
    if (this.cache.get(name)?.state !== state) {
      const asked = this.hand.ask('places.json', this.hand.asked({stop: name, at: this.hand.at(name)}));
      this.cache.set(name, {state, found: asked.then((told) => told?.places ?? [])});
    }
    return this.cache.get(name).found;
  }

  async open(name) {
    this.box.hidden = !name;
    if (!name) return;
    const told = (this.hand.now.stops[name] ?? document.querySelector(`tr[data-stop="${CSS.escape(name)}"]`)?.dataset.name
      ?? this.hand.day.fills.find((one) => one.stop === name)?.name ?? name).split(',')[0];
    this.box.querySelector('h4').textContent = `Where ${told} could go`;
    const off = this.hand.press('off');
    off.hidden = this.hand.at(name) === null;
    const places = await this.of(name);
    if (this.hand.selected === name) this.list(name, places);
  }

  list(name, places) {
    const at = this.hand.at(name);
    const ranked = [...places].sort((a, b) => Number(b.fits) - Number(a.fits) || (a.cost_s ?? Infinity) - (b.cost_s ?? Infinity));
    const seen = new Set();
    const best = ranked.filter(({who}) => !seen.has(who) && seen.add(who));
    const shown = this.all ? ranked : best;
    const press = this.hand.press('all');
    press.textContent = this.all ? 'Show the best of each technician' : `Show every place (${places.length})`;
    press.hidden = places.length <= best.length;
    this.box.querySelector('tbody').replaceChildren(...shown.map((one) => row(one, at)));
  }

  focus() {
    this.box.querySelector('h4').focus();
    this.box.scrollIntoView({block: 'nearest'});
  }

  async pressed(event) {
    if (event.target.closest('[data-do="all"]')) {
      this.all = !this.all;
      this.open(this.hand.selected);
    }
    const put = event.target.closest('[data-put]');
    if (!put) return;
    const to = put.dataset.put.split(',').map(Number);
    const name = this.hand.selected;
    if (await this.hand.change(name, this.hand.at(name), to)) this.focus();
  }
}

function row(place, at) {
  const made = document.createElement('tr');
  const now = at && at[0] === place.who && at[1] === place.number;
  made.classList.toggle('now', Boolean(now));
  const where = Object.assign(document.createElement('th'), {scope: 'row', textContent: place.where});
  const gives = place.fits ? 'nothing: it holds' : place.breaks;
  made.append(where, cell(now ? 'where it is now' : place.cost), cell(gives));
  const last = cell('');
  if (!now && place.cost_s !== null) {
    const button = Object.assign(document.createElement('button'), {type: 'button', className: 'small', textContent: 'Put it here'});
    button.setAttribute('aria-label', `Put it here: ${place.where}`);
    button.dataset.put = `${place.who},${place.number}`;
    last.append(button);
  }
  made.append(last);
  return made;
}

function cell(words) {
  return Object.assign(document.createElement('td'), {textContent: words});
}
