// The Day page: how the ordering goes, and the routes on the map.
import {BOLD_LABEL, box, ink, paperMap, stretch} from './paper-map.js';

const WHERE = {kind: ['get', 'kind'], hand: ['get', 'hand']};

follow(document.getElementById('progress'));
const FEW_CHARTS = 2;
whenNear(document.getElementById('map'), draw);

/** Draw the map at once; below many charts it can wait until it comes near the screen. */
function whenNear(element, act) {
  if (!element) return;
  if (document.querySelectorAll('#charts .chart').length <= FEW_CHARTS) {
    act(element);
    return;
  }
  const watch = new IntersectionObserver((seen) => {
    if (!seen.some(({isIntersecting}) => isIntersecting)) return;
    watch.disconnect();
    act(element);
  }, {rootMargin: '1500px 0px'});
  watch.observe(element);
}

/** Ask every second how the ordering goes; show the new day when it is done. */
function follow(line) {
  if (!line || line.dataset.open !== 'yes') return;
  const text = line.querySelector('.progress-text');
  const timer = setInterval(async () => {
    let told;
    try {
      told = await (await fetch(line.dataset.url, {credentials: 'same-origin'})).json();
    } catch {
      text.textContent = 'The server does not answer. Trying again.';
      return;
    }
    if (told.progress && told.progress !== text.textContent) text.textContent = told.progress;
    if (told.state === 'done' || told.state === 'failed') {
      clearInterval(timer);
      window.location.reload();
    }
  }, 1000);
}

async function draw(element) {
  const routes = await (await fetch(element.dataset.routes, {credentials: 'same-origin'})).json();
  let bounds = null;
  for (const {geometry, properties} of routes.features) {
    if (properties.kind === 'waiting') continue;
    const points = geometry.type === 'Point' ? [geometry.coordinates] : geometry.coordinates;
    for (const point of points) bounds = stretch(bounds, point);
  }
  const map = await paperMap(element, bounds ? {bounds} : {});
  if (!map) return;
  map.addSource('routes', {type: 'geojson', data: routes});
  const hands = JSON.parse(element.dataset.hands);
  for (const [number, hand] of hands.entries()) addLine(map, number, hand);
  addMarks(map, hands);
  tell(map, element);
  choose(map, routes.features);
  map.once('idle', () => { document.body.dataset.map = 'ready'; });
}

/** A route is drawn on the map as its line is drawn in the chart. */
function addLine(map, number, hand) {
  map.addLayer({
    id: `route-${number}`,
    type: 'line',
    source: 'routes',
    filter: ['all', ['==', WHERE.kind, 'route'], ['==', WHERE.hand, number]],
    layout: {'line-join': 'round', 'line-cap': hand.cap},
    paint: {
      'line-color': hand.ink,
      'line-width': 2.6,
      ...(hand.dash.length ? {'line-dasharray': hand.dash} : {}),
    },
  });
}

function addMarks(map, hands) {
  const byHand = (part) => ['match', WHERE.hand, ...hands.flatMap((hand, number) => [number, hand[part]]), ink('ink')];
  map.addLayer({
    id: 'waiting',
    type: 'circle',
    source: 'routes',
    filter: ['==', WHERE.kind, 'waiting'],
    paint: {
      'circle-radius': 2.5, 'circle-color': ink('paper'),
      'circle-stroke-color': ink('soft'), 'circle-stroke-width': 1.2,
    },
  });
  map.addLayer({
    id: 'stops',
    type: 'circle',
    source: 'routes',
    filter: ['in', WHERE.kind, ['literal', ['visit', 'fill']]],
    paint: {
      'circle-radius': 5.5, 'circle-color': byHand('bar'),
      'circle-stroke-color': byHand('ink'), 'circle-stroke-width': 2,
    },
  });
  map.addLayer({
    id: 'arrivals',
    type: 'symbol',
    source: 'routes',
    filter: ['in', WHERE.kind, ['literal', ['visit', 'fill']]],
    layout: {
      'text-field': ['get', 'label'], 'text-size': 13, 'text-font': BOLD_LABEL,
      'text-variable-anchor': ['left', 'right', 'top', 'bottom', 'top-left', 'top-right', 'bottom-left', 'bottom-right'],
      'text-radial-offset': 0.75, 'text-justify': 'auto', 'text-padding': 1,
    },
    paint: {'text-color': byHand('ink'), 'text-halo-color': ink('paper'), 'text-halo-width': 2},
  });
}

/** The stop that is chosen in the chart has a ring on the map. */
function choose(map, features) {
  const none = {type: 'FeatureCollection', features: []};
  map.addSource('chosen', {type: 'geojson', data: none});
  map.addLayer({
    id: 'chosen',
    type: 'circle',
    source: 'chosen',
    paint: {
      'circle-radius': 12, 'circle-color': ink('paper'), 'circle-opacity': 0,
      'circle-stroke-color': ink('water'), 'circle-stroke-width': 3,
    },
  });
  let later;
  document.addEventListener('riserway:selected', ({detail}) => {
    clearTimeout(later);  // the chart goes first: a map takes its time where there is no graphics card
    const found = features.filter(({properties}) => properties.site_id && String(properties.site_id) === detail.site);
    later = setTimeout(() => map.getSource('chosen').setData({...none, features: found}), 200);
  });
}

/** Say in a box what a mark stands for. */
function tell(map, element) {
  map.on('click', 'stops', ({features, lngLat}) => {
    const one = features[0].properties;
    if (one.site_id) document.dispatchEvent(new CustomEvent('riserway:select', {detail: {site: one.site_id}}));
    const where = one.site_id ? element.dataset.gate.replace('/0/', `/${one.site_id}/`) : '';
    box(map, lngLat, one.site, where, `${one.label}${one.tasks ? `: ${one.tasks}` : ''}`);
  });
  map.on('click', 'waiting', ({features, lngLat}) => {
    const one = features[0].properties;
    box(map, lngLat, one.site, element.dataset.site.replace(/0$/, one.site_id), `waits. ${one.why}`);
  });
  for (const layer of ['stops', 'waiting']) {
    map.on('mouseenter', layer, () => { map.getCanvas().style.cursor = 'pointer'; });
    map.on('mouseleave', layer, () => { map.getCanvas().style.cursor = ''; });
  }
}
