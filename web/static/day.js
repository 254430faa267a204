// The Day page: how the ordering goes, and the routes on the map.
import {paperMap, stretch} from './paper-map.js';

const INK = '#1f2a2b';
const PAPER = '#fbf9f4';
const DASHES = [[1], [4, 2], [1, 1.5], [5, 1.5, 1, 1.5]];

follow(document.getElementById('progress'));
draw(document.getElementById('map'));

/** Ask every second how the ordering goes; show the new day when it is done. */
function follow(box) {
  if (!box || box.dataset.open !== 'yes') return;
  const text = box.querySelector('.progress-text');
  const timer = setInterval(async () => {
    let told;
    try {
      told = await (await fetch(box.dataset.url, {credentials: 'same-origin'})).json();
    } catch {
      text.textContent = 'The server does not answer. Trying again.';
      return;
    }
    if (told.progress) text.textContent = told.progress;
    if (told.state === 'done' || told.state === 'failed') {
      clearInterval(timer);
      window.location.reload();
    }
  }, 1000);
}

async function draw(element) {
  if (!element) return;
  const routes = await (await fetch(element.dataset.routes, {credentials: 'same-origin'})).json();
  let bounds = null;
  for (const {geometry} of routes.features) {
    const points = geometry.type === 'Point' ? [geometry.coordinates] : geometry.coordinates;
    for (const point of points) bounds = stretch(bounds, point);
  }
  const map = await paperMap(element, bounds ? {bounds} : {});
  if (!map) return;
  map.addSource('routes', {type: 'geojson', data: routes});
  for (const number of DASHES.keys()) {
    map.addLayer({
      id: `route-${number}`,
      type: 'line',
      source: 'routes',
      filter: ['all', ['==', ['get', 'kind'], 'route'], ['==', ['get', 'number'], number]],
      layout: {'line-join': 'round'},
      paint: {
        'line-color': INK, 'line-width': 2.5,
        ...(number ? {'line-dasharray': DASHES[number]} : {}),
      },
    });
  }
  map.addLayer({
    id: 'waiting',
    type: 'circle',
    source: 'routes',
    filter: ['==', ['get', 'kind'], 'waiting'],
    paint: {
      'circle-radius': 4, 'circle-color': PAPER,
      'circle-stroke-color': INK, 'circle-stroke-width': 1.5,
    },
  });
  map.addLayer({
    id: 'stops',
    type: 'circle',
    source: 'routes',
    filter: ['in', ['get', 'kind'], ['literal', ['visit', 'fill']]],
    paint: {'circle-radius': 6, 'circle-color': INK, 'circle-stroke-color': PAPER, 'circle-stroke-width': 2},
  });
  map.addLayer({
    id: 'arrivals',
    type: 'symbol',
    source: 'routes',
    filter: ['in', ['get', 'kind'], ['literal', ['visit', 'fill']]],
    layout: {
      'text-field': ['get', 'label'], 'text-size': 13, 'text-font': ['Georgia', 'serif'],
      'text-variable-anchor': ['left', 'right', 'top', 'bottom'],
      'text-radial-offset': 0.8, 'text-justify': 'auto',
    },
    paint: {'text-color': INK, 'text-halo-color': PAPER, 'text-halo-width': 2},
  });
  document.body.dataset.map = 'ready';
}
