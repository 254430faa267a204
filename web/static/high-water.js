// High water: the slider moves the stage; map, ladder and counts follow at once from stages that
// were worked out before, the lists a moment later from the server.
import {drawMarks} from './high-water-marks.js';
import {pickOnLadder, waterOnLadder} from './high-water-ladder.js';
import {paperMap} from './paper-map.js';

const slider = document.querySelector('#slider');
const stage = document.querySelector('#stage');
const element = document.querySelector('#map');
const PAUSE_MS = 250;
const NEAR_PX = 14;
const state = {places: {labels: [], sites: [], roads: []}, stages: [], firsts: [], picked: null};
let marks = null;
let asked = 0;
let pause = 0;

start();

async function start() {
  if (slider) {
    slider.hidden = false;
    slider.addEventListener('input', () => { stage.value = slider.value; redraw(); askSoon(); });
    stage.addEventListener('input', () => { slider.value = stage.value; redraw(); askSoon(); });
  }
  document.addEventListener('click', ({target}) => {
    const button = target.closest('button.pick');
    if (button) pick(Number(button.dataset.site) === state.picked ? null : Number(button.dataset.site), true);
  });
  if (!element) return;
  state.places = await (await fetch(element.dataset.places, {credentials: 'same-origin'})).json();
  state.stages = state.places.sites.flatMap(([, , , , parts]) => parts.map(([, ft]) => ft)).sort((a, b) => a - b);
  state.firsts = state.places.sites.map(([, , , , parts]) => parts[0][1]).sort((a, b) => a - b);
  showButtons();
  const bounds = around(state.places);
  const map = await paperMap(element, bounds ? {bounds} : {});
  if (map) {
    marks = drawMarks(map, state);
    map.on('click', ({point}) => pick(nearest(map, point), false));
    redraw();
  }
  document.body.dataset.map = 'ready';
}

/** Draw map and ladder for the stage of the slider, from what is known already. */
function redraw() {
  const began = performance.now();
  const ft = Number(stage.value);
  if (marks) marks.draw(ft);
  waterOnLadder(ft);
  const told = document.querySelector('#told');
  const closed = state.places.roads.filter(([, , , closes]) => closes !== null && closes <= ft).length;
  if (told && state.stages.length) {
    told.textContent = `At ${ft.toFixed(1)} ft: ${count(upto(state.stages, ft), 'component')} of ${count(upto(state.firsts, ft), 'site')} under water, ${count(closed, 'road')} closed.`;
  }
  tellPicked(ft);
  document.body.dataset.redrawMs = (performance.now() - began).toFixed(1);
}

/** Ask the server for the lists once the slider rests. */
function askSoon() {
  window.clearTimeout(pause);
  pause = window.setTimeout(ask, PAUSE_MS);
}

async function ask() {
  asked += 1;
  const mine = asked;
  const address = new URL(window.location.href);
  for (const [name, value] of new FormData(stage.form)) address.searchParams.set(name, value);
  const answer = await fetch(address, {credentials: 'same-origin'});
  if (!answer.ok || mine !== asked) return; // a later stage was asked for meanwhile
  const page = new DOMParser().parseFromString(await answer.text(), 'text/html');
  for (const old of document.querySelectorAll('[data-told]')) {
    const open = Boolean(old.querySelector('details[open]'));
    const now = document.importNode(page.querySelector(`[data-told="${old.dataset.told}"]`), true);
    const details = now.querySelector('details');
    if (details) details.open = open;
    old.replaceWith(now);
  }
  window.history.replaceState(null, '', address);
  showButtons();
  showPicked();
  document.body.dataset.lists = address.searchParams.get('stage');
}

/** Choose one site in list, ladder and map alike; null chooses none. */
function pick(siteId, move) {
  state.picked = siteId;
  const place = state.places.sites.find(([id]) => id === siteId);
  if (marks) {
    if (move && place) {
      marks.show([place[2], place[3]]);
      element.scrollIntoView({block: 'nearest'});
    }
    marks.draw(Number(stage.value));
  }
  showPicked();
  tellPicked(Number(stage.value));
}

function showPicked() {
  for (const row of document.querySelectorAll('tr[data-site]')) {
    row.classList.toggle('is-picked', Number(row.dataset.site) === state.picked);
  }
  for (const button of document.querySelectorAll('button.pick')) {
    button.setAttribute('aria-pressed', String(Number(button.dataset.site) === state.picked));
  }
  const place = state.places.sites.find(([id]) => id === state.picked);
  pickOnLadder(place ? place[4].map(([label, ft]) => [state.places.labels[label], ft]) : []);
}

function tellPicked(ft) {
  const told = document.querySelector('#picked');
  const place = state.places.sites.find(([id]) => id === state.picked);
  told.hidden = !place;
  if (!place) return;
  const under = place[4].filter(([, at]) => at <= ft).length;
  const next = place[4].find(([, at]) => at > ft);
  const after = next ? `; next ${state.places.labels[next[0]]} at ${next[1].toFixed(1)} ft` : '';
  const link = document.createElement('a');
  link.href = element.dataset.site.replace(/0$/, place[0]);
  link.textContent = `Site ${place[1]}`;
  told.replaceChildren(link, `: ${under} of ${count(place[4].length, 'measured part')} under water${after}.`);
}

function showButtons() {
  for (const button of document.querySelectorAll('button.pick')) button.hidden = false;
}

function nearest(map, point) {
  let best = null;
  let least = NEAR_PX;
  for (const [id, , lon, lat] of state.places.sites) {
    const {x, y} = map.project([lon, lat]);
    const far = Math.hypot(x - point.x, y - point.y);
    if (far < least) { least = far; best = id; }
  }
  return best;
}

function around({sites, roads}) {
  const at = [...sites.map(([, , lon, lat]) => [lon, lat]), ...roads.map(([, lon, lat]) => [lon, lat])];
  if (!at.length) return null;
  const lons = at.map(([lon]) => lon);
  const lats = at.map(([, lat]) => lat);
  const least = (all) => all.reduce((a, b) => Math.min(a, b));
  const most = (all) => all.reduce((a, b) => Math.max(a, b));
  return [least(lons), least(lats), most(lons), most(lats)];
}

/** How many numbers of a sorted list are at most a limit. */
function upto(sorted, limit) {
  let low = 0;
  let high = sorted.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (sorted[middle] <= limit) low = middle + 1; else high = middle;
  }
  return low;
}

function count(n, thing) {
  return `${n.toLocaleString('en')} ${thing}${n === 1 ? '' : 's'}`;
}
