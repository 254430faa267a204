// The County map: lid marks from zoom 10 on, hatched squares below it.
import {box, ink, LABEL, paperMap} from './paper-map.js';

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
  const map = await paperMap(element, around);
  if (!map) return;
  const fitted = map.getZoom();
  if (fitted > MARKS_FROM - ALMOST && fitted < MARKS_FROM) map.setZoom(MARKS_FROM);
  await addMarks(map, element.dataset);
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

/** Cut the drawn marks out of one picture; the squares are pictures of their own. */
async function addMarks(map, {lids, places}) {
  const told = await (await fetch(places, {credentials: 'same-origin'})).json();
  const sheet = await picture(lids, told.width * RATIO, told.height * RATIO);
  const cell = told.cell * RATIO;
  for (const [name, [left, top]] of Object.entries(told.places)) {
    map.addImage(name, sheet.getImageData(left * RATIO, top * RATIO, cell, cell), {pixelRatio: RATIO});
  }
  for (const [name, svg] of Object.entries(told.squares)) {
    const address = URL.createObjectURL(new Blob([svg], {type: 'image/svg+xml'}));
    const square = await picture(address, 64 * RATIO, 64 * RATIO);
    URL.revokeObjectURL(address);
    map.addImage(name, square.getImageData(0, 0, 64 * RATIO, 64 * RATIO), {pixelRatio: RATIO});
  }
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

/** Say in a box what a mark stands for; a square leads closer. */
function tell(map, {site, tasks}) {
  const named = JSON.parse(tasks);
  map.on('click', 'lids', ({features, lngLat}) => {
    const one = features[0].properties;
    const late = one.days_overdue > 0 ? `${one.days_overdue.toLocaleString('en')} days past due` : 'not past due';
    const said = `${one.kind}. ${named[one.task] || one.task}, due ${one.due_on || 'on no date yet'}, ${late}.`;
    box(map, lngLat, `Site ${one.site}`, site.replace(/0$/, one.site_id), said);
  });
  map.on('click', 'squares', ({lngLat}) => map.easeTo({center: lngLat, zoom: Math.min(map.getZoom() + 2, 18)}));
  for (const layer of ['lids', 'squares']) {
    map.on('mouseenter', layer, () => { map.getCanvas().style.cursor = 'pointer'; });
    map.on('mouseleave', layer, () => { map.getCanvas().style.cursor = ''; });
  }
}
