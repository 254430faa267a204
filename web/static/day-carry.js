// Taking hold of a bar and carrying it: by pointer, by finger (hold still first), by keyboard.
import {place} from './day-chart.js';

const FAR_PX = 5;
const HOLD_MS = 350;

export class Carry {
  constructor(hand) {
    this.hand = hand;
    this.lifted = null;
    this.tray = document.getElementById('hand-tray');
    this.caret = Object.assign(document.createElement('div'), {className: 'caret'});
    this.caret.append(document.createElement('span'));
    const charts = hand.holder;
    charts.addEventListener('keydown', (event) => this.key(event));
    charts.addEventListener('focusin', (event) => this.focused(event));
    charts.addEventListener('focusout', (event) => { if (this.lifted?.byKey && event.target.matches('.lift') && !this.moving) this.putBack(); });
    charts.addEventListener('click', (event) => { if (event.detail === 0 && event.target.matches('.lift')) this.hand.select(event.target.dataset.stop); });
    charts.addEventListener('pointerdown', (event) => this.down(event));
    charts.addEventListener('pointermove', (event) => this.move(event));
    charts.addEventListener('pointerup', (event) => this.up(event));
    charts.addEventListener('pointercancel', () => this.putBack());
    charts.addEventListener('touchmove', (event) => { if (this.lifted) event.preventDefault(); }, {passive: false});
    document.addEventListener('keydown', (event) => { if (event.key === 'Escape' && this.lifted) this.putBack(); });
    document.addEventListener('riserway:drawn', () => this.reach());
    this.reach();
  }

  /** One bar can be reached by Tab; the arrow keys lead to the others. */
  reach() {
    const all = [...this.hand.charts.lines.values()].flatMap(({stops}) => stops);
    const one = all.find(({name}) => name === (this.last || this.hand.selected)) ?? all[0];
    for (const stop of all) {
      const step = stop === one ? 0 : -1;
      if (stop.button.tabIndex !== step) stop.button.tabIndex = step;
    }
  }

  focused(event) {
    if (!event.target.matches('.lift')) return;
    this.last = event.target.dataset.stop;
    this.reach();
  }

  key(event) {
    if (!event.target.matches('.lift') || event.ctrlKey || event.metaKey || event.altKey) return;
    const act = this.lifted ? this.carrying(event.key) : this.walking(event.key, event.target.dataset.stop);
    if (act) {
      event.preventDefault();
      act();
    }
  }

  walking(key, name) {
    const {line, stop, at} = this.hand.charts.find(name);
    const lines = [...this.hand.charts.lines.values()];
    const beside = (step) => {
      const other = lines[lines.indexOf(line) + step];
      return other?.stops.reduce((best, one) => (Math.abs(one.x - stop.x) < Math.abs(best.x - stop.x) ? one : best), other.stops[0]);
    };
    const goes = {
      ArrowRight: () => line.stops[at + 1],
      ArrowLeft: () => line.stops[at - 1],
      ArrowDown: () => beside(1),
      ArrowUp: () => beside(-1),
      Home: () => line.stops[0],
      End: () => line.stops.at(-1),
    };
    if (goes[key]) return () => goes[key]()?.button.focus();
    if (key === 'Enter' || key === ' ') return () => this.lift(name, true);
    return null;
  }

  carrying(key) {
    const {to, name} = this.lifted;
    const count = (who) => this.hand.now.routes[who].filter((one) => one !== name).length;
    const acts = {
      ArrowRight: () => this.hover([to[0], Math.min(to[1] + 1, count(to[0]))]),
      ArrowLeft: () => this.hover([to[0], Math.max(to[1] - 1, 0)]),
      ArrowDown: () => this.beside(1),
      ArrowUp: () => this.beside(-1),
      Home: () => this.hover([to[0], 0]),
      End: () => this.hover([to[0], count(to[0])]),
      Enter: () => this.layDown(),
      ' ': () => this.layDown(),
      Delete: () => this.layDown(null),
      Escape: () => this.putBack(),
    };
    return acts[key] ?? null;
  }

  beside(step) {
    const who = this.lifted.to[0] + step;
    if (who < 0 || who >= this.hand.now.routes.length) return;
    const here = this.gap(this.lifted.to);
    if (here) this.lifted.x = here.x;
    this.hover([who, this.hand.charts.inTime(this.id(who), this.lifted.x, this.lifted.name)]);
  }

  id(who) {
    return this.hand.day.technicians[who].id;
  }

  gap(to) {
    return this.hand.charts.gap(this.id(to[0]), to[1], this.lifted.name);
  }

  /** Where the lifted stop stands. */
  home() {
    const {line, stop} = this.hand.charts.find(this.lifted.name);
    return {sheet: line.sheet, x: stop.x + stop.width / 2, y: stop.y};
  }

  lift(name, byKey) {
    const at = this.hand.at(name);
    if (!at || this.hand.busy) return;
    if (this.hand.day.done[name]) {
      this.hand.select(name);
      return;
    }
    const {stop} = this.hand.charts.find(name);
    this.lifted = {name, at, to: at, byKey, x: stop.x, places: []};
    stop.button.classList.add('lifted');
    this.hand.box.classList.add('lifting');
    this.fillTray();
    this.hand.select(name);
    const {lifted} = this;
    this.hand.places.of(name).then((places) => {
      lifted.places = places;
      if (this.lifted === lifted) this.hover(lifted.to, false);
    });
    if (byKey) this.hand.say(`${this.hand.now.stops[name]}: lifted.`);
  }

  /** Show a place as the one where the stop would be laid down. */
  hover(to, aloud = true) {
    const {lifted} = this;
    lifted.to = to;
    const found = lifted.places.find((one) => one.who === to[0] && one.number === to[1]);
    const name = this.hand.day.technicians[to[0]].name;
    const home = lifted.at[0] === to[0] && lifted.at[1] === to[1];
    const gap = home ? this.home() : this.gap(to);
    const words = [home ? 'where it is now' : found?.cost ?? '…', found?.breaks].filter(Boolean).join('; ');
    if (gap) {
      gap.sheet.lifts.append(this.caret);
      place(this.caret, gap.sheet, gap.x, gap.y);
      this.caret.firstChild.textContent = `${name}: ${words}`;
      this.caret.classList.toggle('gives-way', Boolean(found?.breaks));
      this.caret.classList.toggle('to-the-left', gap.x > gap.sheet.width / 2);
      this.caret.classList.toggle('below', gap.y < gap.sheet.height / 3);
      if (lifted.byKey) this.caret.scrollIntoView({block: 'nearest', inline: 'nearest'});
    } else {
      this.caret.remove();
    }
    for (const one of this.tray.children) one.classList.toggle('here', !gap && one.dataset.who === String(to[0]));
    if (lifted.byKey && aloud) this.hand.say(`${found?.where ?? name}: ${words}`);
  }

  async layDown(to = this.lifted.to) {
    const {name, at, byKey} = this.lifted;
    this.moving = true;
    this.end();
    await this.hand.change(name, at, to);
    this.moving = false;
    if (byKey) (this.hand.charts.find(name)?.stop.button ?? this.hand.press('undo')).focus();
  }

  putBack() {
    clearTimeout(this.holding);
    this.pressed = null;
    if (!this.lifted) return;
    this.hand.say('Put back.');
    this.end();
  }

  end() {
    this.hand.charts.find(this.lifted.name)?.stop.button.classList.remove('lifted');
    this.lifted = null;
    this.caret.remove();
    this.ghost?.remove();
    document.body.classList.remove('carrying');
    this.hand.box.classList.remove('lifting');
  }

  fillTray() {
    const idle = this.hand.now.routes.flatMap((route, who) => (route.length ? [] : [who]));
    const made = [['off', 'Off the routes: it waits'], ...idle.map((who) => [who, this.hand.day.technicians[who].name])];
    this.tray.replaceChildren(...made.map(([who, words]) => {
      const one = Object.assign(document.createElement('div'), {textContent: words});
      one.dataset.who = who;
      return one;
    }));
  }

  sheet(event) {
    const over = document.elementFromPoint(event.clientX, event.clientY)?.closest('.chart-sheet');
    return this.hand.charts.sheets.find((one) => one.sheet === over) ?? null;
  }

  down(event) {
    if (event.button !== 0 || this.lifted) return;
    const sheet = this.sheet(event);
    const found = sheet && this.hand.charts.under(sheet, event);
    if (!found) return;
    if (event.pointerType !== 'touch') event.preventDefault();
    this.pressed = {name: found.stop.name, x: event.clientX, y: event.clientY, pointer: event.pointerId, touch: event.pointerType === 'touch'};
    found.stop.button.focus({preventScroll: true});
    if (this.pressed.touch) this.holding = setTimeout(() => this.take(event), HOLD_MS);
  }

  take(event) {
    this.hand.holder.setPointerCapture(this.pressed.pointer);
    this.lift(this.pressed.name, false);
    if (!this.lifted) return;
    document.body.classList.add('carrying');
    this.ghost = Object.assign(document.createElement('div'), {className: 'ghost'});
    this.carry(event);
  }

  move(event) {
    if (!this.pressed) {
      const sheet = this.sheet(event);
      sheet?.sheet.classList.toggle('over-bar', Boolean(this.hand.charts.under(sheet, event)));
      return;
    }
    const far = Math.hypot(event.clientX - this.pressed.x, event.clientY - this.pressed.y) > FAR_PX;
    if (!this.lifted && far && this.pressed.touch) {
      clearTimeout(this.holding);
      this.pressed = null;
    } else if (!this.lifted && far) {
      this.take(event);
    } else if (this.lifted) {
      this.carry(event);
    }
  }

  carry(event) {
    const drop = document.elementFromPoint(event.clientX, event.clientY)?.closest('#hand-tray > div');
    for (const one of this.tray.children) one.classList.toggle('here', one === drop);
    this.lifted.drop = drop?.dataset.who ?? null;
    const sheet = this.sheet(event);
    if (!sheet) return;
    const box = sheet.sheet.getBoundingClientRect();
    sheet.lifts.append(this.ghost);
    this.ghost.style.left = `${event.clientX - box.left}px`;
    this.ghost.style.top = `${event.clientY - box.top}px`;
    const near = this.hand.charts.nearest(sheet, event, this.lifted.name);
    if (near) this.hover([this.hand.day.technicians.findIndex(({id}) => id === near.technician), near.number], false);
  }

  up() {
    clearTimeout(this.holding);
    const {pressed} = this;
    this.pressed = null;
    if (this.lifted) {
      const {drop} = this.lifted;
      if (drop === 'off') this.layDown(null);
      else if (drop !== null && drop !== undefined) this.layDown([Number(drop), 0]);
      else this.layDown();
    } else if (pressed) {
      this.hand.select(pressed.name);
    }
  }
}
