// The Day page as a tool: visits are carried to other places, and what that comes to is told.
import {Carry} from './day-carry.js';
import {Charts, redraw} from './day-chart.js';
import {Places} from './day-places.js';

class Hand {
  constructor(element, charts) {
    this.box = element;
    this.holder = charts;
    this.charts = new Charts(charts);
    this.past = [];
    this.future = [];
    this.selected = '';
    this.busy = false;
  }

  async open() {
    const told = await this.ask('hand.json');
    if (!told) return false;
    this.day = told;
    const shown = [...this.holder.querySelectorAll('.chart svg')].map((one) => one.outerHTML);
    this.kept = this.merged(told.state, shown, []);
    this.now = {...this.kept, charts: shown};
    this.places = new Places(this);
    this.box.hidden = false;
    document.getElementById('kept-breaks')?.remove();
    this.show(this.kept);
    this.fills();
    if (told.gone.length) this.say(`No longer due, so left out: ${told.gone.join(', ')}.`);
    this.box.addEventListener('click', (event) => this.pressed(event));
    document.addEventListener('keydown', (event) => this.key(event));
    document.addEventListener('riserway:select', ({detail}) => this.selectSite(detail.site));
    window.addEventListener('beforeunload', (event) => { if (this.now !== this.kept && !this.leaving) event.preventDefault(); });
    for (const row of document.querySelectorAll('tr[data-stop]')) {
      if (told.visits.includes(row.dataset.stop)) this.finder(row.querySelector('th'), row.dataset.stop, row.dataset.name);
    }
    return true;
  }

  /** Ask the server; null where it could not be asked or refused, which is said. */
  async ask(what, sent = null) {
    let answer;
    let told;
    try {
      answer = await fetch(this.box.dataset.url + what, {
        credentials: 'same-origin',
        ...(sent && {method: 'POST', headers: {'Content-Type': 'application/json'}, body: JSON.stringify(sent)}),
      });
      if (answer.redirected || answer.status === 403) throw new Error('signed out');
      told = await answer.json();
    } catch (wrong) {
      this.say(wrong.message === 'signed out' ? 'Sign in again to change the day.' : 'The server does not answer. Nothing was changed.', true);
      return null;
    }
    if (answer.ok) return told;
    if (what === 'save.json') return this.refused(answer.status, told);
    this.say(told.error, true);
    return null;
  }

  asked(more) {
    return {opened: this.day.opened, version: this.day.version, routes: this.now.routes, frame: this.now.frame, ...more};
  }

  /** A state of the server with all charts, those that it left out taken from what is shown. */
  merged(told, before, lifted) {
    const charts = Array.from({length: told.panels}, (_, number) => told.charts[number] ?? before[number]);
    return {...told, charts, lifted};
  }

  /** Where a stop is: technician and number, both counted from 0; null = on no route. */
  at(name) {
    for (const [who, route] of this.now.routes.entries()) {
      const number = route.indexOf(name);
      if (number >= 0) return [who, number];
    }
    return null;
  }

  async change(name, at, to) {
    if (this.busy || (at && to && at[0] === to[0] && at[1] === to[1])) return false;
    this.busy = true;
    const start = performance.now();
    this.box.setAttribute('aria-busy', 'true');
    const told = await this.ask('try.json', this.asked({stop: name, at, to}));
    this.busy = false;
    this.box.removeAttribute('aria-busy');
    if (!told) return false;
    const lifted = [...new Set([...this.now.lifted, name])];
    this.past.push(this.now);
    this.future = [];
    this.show(this.merged(told, this.now.charts, lifted));
    requestAnimationFrame(() => performance.measure('change', {start}));
    this.tell(name);
    if (this.selected === name) this.places.open(name);
    return true;
  }

  tell(name) {
    const where = this.now.stops[name] ?? 'Taken off the routes';
    const breaks = this.now.breaks.length ? ` What gives way: ${this.now.breaks.join(' ')}` : ' Everything holds.';
    this.say(`${where}; ${this.now.step}.${breaks}`);
  }

  show(state) {
    const before = this.now.charts;
    const panels = [...this.holder.querySelectorAll('.chart')];
    for (let number = panels.length; number < state.charts.length; number += 1) {
      panels.push(panels[0].cloneNode(true));
      panels.at(-2).after(panels[number]);
    }
    for (const extra of panels.splice(state.charts.length)) extra.remove();
    for (const [number, picture] of state.charts.entries()) {
      if (picture !== before[number]) redraw(panels[number], picture);
    }
    this.now = state;
    this.charts.read(state.stops);
    document.querySelector('.totals')?.replaceChildren(...state.totals.map(pair));
    this.box.querySelector('#hand-price').textContent = state === this.kept ? '' : state.price;
    const told = this.box.querySelector('#hand-told');
    told.hidden = state.told.length === 0;
    told.replaceChildren(...state.told.map((words) => item(words)));
    const breaks = this.box.querySelector('#hand-breaks');
    breaks.hidden = state.breaks.length === 0;
    breaks.querySelector('ul').replaceChildren(...state.breaks.map((words) => item(words)));
    this.press('undo').disabled = this.past.length === 0;
    this.press('redo').disabled = this.future.length === 0;
    this.press('back').disabled = state === this.kept;
    this.press('save').disabled = state === this.kept;
    document.body.classList.toggle('day-changed', state !== this.kept);
    this.mark();
  }

  press(what) {
    return this.box.querySelector(`[data-do="${what}"]`);
  }

  undo() {
    if (!this.past.length) return;
    this.future.push(this.now);
    this.show(this.past.pop());
    this.say(`Undone. ${this.now === this.kept ? 'This is the kept plan.' : this.now.price}`);
  }

  redo() {
    if (!this.future.length) return;
    this.past.push(this.now);
    this.show(this.future.pop());
    this.say(`Done again. ${this.now.price}`);
  }

  back() {
    this.past.push(this.now);
    this.future = [];
    this.show(this.kept);
    this.say('Back to the kept plan. Undo brings your changes back.');
  }

  key(event) {
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== 'z') return;
    if (event.target.closest('input, textarea, select, dialog[open]')) return;
    event.preventDefault();
    if (event.shiftKey) this.redo(); else this.undo();
  }

  pressed(event) {
    const what = event.target.closest('[data-do]')?.dataset.do;
    if (what === 'undo') this.undo();
    if (what === 'redo') this.redo();
    if (what === 'back') this.back();
    if (what === 'save') this.save(false);
    if (what === 'agree') this.agreed();
    if (what === 'close') this.dialog.close();
    if (what === 'off') this.change(this.selected, this.at(this.selected), null);
    if (what === 'unselect') this.select('');
  }

  async save(although) {
    const told = await this.ask('save.json', this.asked({lifted: this.now.lifted, although}));
    if (!told) return;
    this.leaving = true;
    window.location.assign(told.url);
  }

  /** A plan that breaks limits, or one that somebody changed meanwhile, is told in a dialog. */
  refused(status, told) {
    if (told.breaks) {
      this.open_dialog('This plan breaks limits', told.breaks, 'Keep it although it breaks them', () => this.save(true));
    } else if (status === 409) {
      this.open_dialog('Somebody was quicker', [told.error], 'Show the day as it is now', () => {
        this.leaving = true;
        window.location.reload();
      });
    } else {
      this.say(told.error, true);
    }
    return null;
  }

  get dialog() {
    return this.box.querySelector('dialog');
  }

  open_dialog(title, words, agree, then) {
    this.dialog.querySelector('h3').textContent = title;
    const list = document.createElement('ul');
    list.append(...words.map((one) => item(one)));
    this.dialog.querySelector('.hand-words').replaceChildren(list);
    this.press('agree').textContent = agree;
    this.then = then;
    this.dialog.showModal();
  }

  agreed() {
    this.dialog.close();
    this.then();
  }

  /** Choose a stop: the chart and the map show it, the list says where else it could go. */
  select(name) {
    this.selected = name;
    this.mark();
    const done = this.day.done[name];
    this.places.open(done ? '' : name);
    if (done) this.say(`${this.now.stops[name]}: it stays where it was made.`);
    document.dispatchEvent(new CustomEvent('riserway:selected', {detail: {site: name.split('/')[0]}}));
  }

  selectSite(site) {
    const found = this.now.routes.flat().find((name) => name.split('/')[0] === String(site));
    if (found && found !== this.selected) this.select(found);
  }

  mark() {
    for (const line of this.charts.lines.values()) {
      for (const {name, button} of line.stops) {
        const pressed = String(name === this.selected);
        if (button.getAttribute('aria-pressed') !== pressed) button.setAttribute('aria-pressed', pressed);
      }
    }
    document.dispatchEvent(new CustomEvent('riserway:drawn'));
  }

  finder(cell, stop, name) {
    const button = document.createElement('button');
    button.type = 'button';
    button.className = 'small find-place no-print';
    button.textContent = 'Find a place';
    button.setAttribute('aria-label', `Find a place for ${name}`);
    button.addEventListener('click', () => { this.select(stop); this.places.focus(); });
    cell.append(document.createElement('br'), button);
  }

  fills() {
    const fold = this.box.querySelector('.hand-fills');
    fold.hidden = this.day.fills.length === 0;
    fold.querySelector('ul').replaceChildren(...this.day.fills.map(({stop, name}) => {
      const row = item(`${name} `);
      this.finder(row, stop, name);
      row.querySelector('br').remove();
      return row;
    }));
  }

  /** Say something aloud; what went wrong is shown too. */
  say(words, wrong = false) {
    const said = this.box.querySelector('#hand-said');
    said.textContent = said.textContent === words ? `${words} ` : words;
    if (wrong) {
      this.box.hidden = false;
      this.box.querySelector('#hand-price').textContent = words;
    }
  }
}

function pair([term, words]) {
  const row = document.createElement('div');
  row.append(Object.assign(document.createElement('dt'), {textContent: term}));
  row.append(Object.assign(document.createElement('dd'), {textContent: words}));
  return row;
}

function item(words) {
  return Object.assign(document.createElement('li'), {textContent: words});
}

const box = document.getElementById('hand');
if (box) {
  const hand = new Hand(box, document.getElementById('charts'));
  if (await hand.open()) {
    new Carry(hand);
    document.body.dataset.hand = 'ready';
  }
}
