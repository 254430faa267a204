// The County map: lid marks from zoom 10 on, hatched squares below it.
import {fromTheList, tellKnown} from './county-known.js';
import {ink, LABEL, paperMap} from './paper-map.js';

const RATIO = 2;
const SHARE = ['get', 'share_passed'];
/** Twelfths of the interval: down before the due date, up after it, as the drawn marks are named. */
const STEP = ['case',
  ['!=', ['typeof', SHARE], 'number'], 'none',
  ['>', SHARE, 1], ['to-string', ['min', 24, ['max', 13, ['ceil', ['-', ['*', SHARE, 12], 1e-9]]]]],
  ['<', SHARE, 1], ['to-string', ['max', 0, ['min', 11, ['floor', ['+', ['*', SHARE, 12], 1e-9]]]]],
  '12'];
const MARK = ['concat', 'lid-', STEP,
  ['case', ['==', ['get', 'in_hazard_area'], true], '-wave', ''],
  ['case', ['==', ['get', 'below_bfe'], true], '-bar', '']];

/** The first zoom with a mark for each system; a county that nearly fits into it is shown there. */
const MARKS_FROM = 10;
const ALMOST = 0.75;

draw(document.getElementById('map'));

async function draw(element) {
  if (!element) return;
  const around = element.dataset.box ? {bounds: JSON.parse(element.dataset.box)} : {};
  const drawn = drawnMarks(element.dataset);
  const map = await paperMap(element, around);
  if (!map) return;
  const fitted = map.getZoom();
  if (fitted > MARKS_FROM - ALMOST && fitted < MARKS_FROM) map.setZoom(MARKS_FROM);
  for (const [name, image] of await drawn) map.addImage(name, image, {pixelRatio: RATIO});
  map.addSource('systems', {
    type: 'vector',
    tiles: [`${window.location.origin}${element.dataset.systems}`],
    minzoom: 4,
    maxzoom: 14,
  });
  map.addLayer({
    id: 'squares',
    type: 'symbol',
    source: 'systems',
    'source-layer': 'systems',
    filter: ['has', 'n'],
    layout: {
      'icon-image': ['concat', 'square-', ['to-string', ['get', 'level']]],
      'icon-allow-overlap': true,
      'text-field': ['concat', ['to-string', ['get', 'late']], '\nof ', ['to-string', ['get', 'n']], '\noverdue'],
      'text-font': LABEL,
      'text-size': 11,
      'text-line-height': 1.05,
      'text-allow-overlap': true,
    },
    paint: {'text-color': ink('ink'), 'text-halo-color': ink('paper'), 'text-halo-width': 1},
  });
  map.addLayer({
    id: 'lids',
    type: 'symbol',
    source: 'systems',
    'source-layer': 'systems',
    filter: ['!', ['has', 'n']],
    layout: {
      'icon-image': MARK,
      'icon-size': ['interpolate', ['linear'], ['zoom'], 10, 0.45, 13, 0.8, 15, 1],
      'icon-allow-overlap': true,
      'symbol-sort-key': ['coalesce', ['get', 'days_overdue'], -9999],
    },
  });
  tell(map, element.dataset);
  map.once('idle', () => { document.body.dataset.map = 'ready'; });
}

/** Cut the drawn marks out of one picture, while the map is made; each square is a picture. */
async function drawnMarks({lids, places}) {
  const told = await (await fetch(places, {credentials: 'same-origin'})).json();
  const sheet = await picture(lids, told.width * RATIO, told.height * RATIO);
  const cell = told.cell * RATIO;
  const marks = Object.entries(told.places).map(([name, [left, top]]) =>
    [name, sheet.getImageData(left * RATIO, top * RATIO, cell, cell)]);
  const squares = Object.entries(told.squares).map(async ([name, svg]) => {
    const address = URL.createObjectURL(new Blob([svg], {type: 'image/svg+xml'}));
    const square = await picture(address, 64 * RATIO, 64 * RATIO);
    URL.revokeObjectURL(address);
    return [name, square.getImageData(0, 0, 64 * RATIO, 64 * RATIO)];
  });
  return [...marks, ...await Promise.all(squares)];
}

async function picture(address, width, height) {
  const image = new Image(width, height);
  image.src = address;
  await image.decode();
  const canvas = document.createElement('canvas');
  canvas.width = width;
  canvas.height = height;
  const context = canvas.getContext('2d', {willReadFrequently: true});
  context.drawImage(image, 0, 0, width, height);
  return context;
}

/** Say in a box what is known of a mark's system; a square leads closer. */
function tell(map, {known}) {
  const address = (site) => known.replace(/0$/, site);
  fromTheList(map, address);
  map.on('click', 'lids', ({features, lngLat}) => {
    tellKnown(map, address(features[0].properties.site_id), lngLat);
  });
  map.on('click', 'squares', ({lngLat}) => map.easeTo({center: lngLat, zoom: Math.min(map.getZoom() + 2, 18)}));
  for (const layer of ['lids', 'squares']) {
    map.on('mouseenter', layer, () => { map.getCanvas().style.cursor = 'pointer'; });
    map.on('mouseleave', layer, () => { map.getCanvas().style.cursor = ''; });
  }
}
