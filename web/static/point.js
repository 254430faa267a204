// Pointing at a place: by click, by arrow keys and Enter, or typed; the typed fields are what counts.
import {ink, paperMap} from './paper-map.js';

const STEPS_M = [5, 10, 20, 50, 100, 200, 500, 1000];
const PIXELS = 4;
/** Metres of one pixel at zoom 0 on the equator, with tiles of 512 pixels (Web Mercator). */
const EQUATOR_M = 40075016.686 / 512;
const LARGEST_START = 17;

const element = document.getElementById('map');
const part = (name) => document.querySelector(`[data-point="${name}"]`);
const field = (name) => document.getElementById(`is-${name}`);
if (element) start();

async function start() {
  const at = typed() ?? (element.dataset.at ? JSON.parse(element.dataset.at) : null);
  const map = await paperMap(element, at ? {center: at, zoom: LARGEST_START, bounds: undefined} : {});
  if (!map) { part('here').hidden = true; return; }
  map.addSource('place', {type: 'geojson', data: shape(typed())});
  map.addLayer({id: 'place', type: 'circle', source: 'place', paint: {'circle-radius': 7, 'circle-color': ink('paper'), 'circle-stroke-color': ink('water'), 'circle-stroke-width': 3}});
  const take = ({lng, lat}) => {
    const exact = exactness(map, lat);
    field('position').value = `${lat.toFixed(6)}, ${lng.toFixed(6)}`;
    field('position_source').value = 'by pointing';
    field('position_accuracy_m').value = exact;
    map.getSource('place').setData(shape(typed()));
    part('said').textContent = `Place taken: ${field('position').value}, by pointing, ± ${exact} m.`;
  };
  map.on('click', ({lngLat}) => take(lngLat));
  map.getCanvas().addEventListener('keydown', (event) => {
    if (event.key !== 'Enter') return;
    event.preventDefault();
    take(map.getCenter());
  });
  part('here').addEventListener('click', () => take(map.getCenter()));
  field('position').addEventListener('input', () => map.getSource('place').setData(shape(typed())));
  map.once('idle', () => { document.body.dataset.map = 'ready'; });
}

/** How far a point on the map may be off: a few pixels, rounded up to a plain number of metres. */
function exactness(map, lat) {
  const off = PIXELS * EQUATOR_M * Math.cos(lat * Math.PI / 180) / 2 ** map.getZoom();
  return STEPS_M.find((one) => one >= Math.max(off, 10)) ?? Math.ceil(off / 1000) * 1000;
}

function typed() {
  const said = field('position').value.split(/[,\s]+/).filter(Boolean).map(Number);
  return said.length === 2 && said.every(Number.isFinite) ? [said[1], said[0]] : null;
}

function shape(coordinates) {
  const features = coordinates ? [{type: 'Feature', properties: {}, geometry: {type: 'Point', coordinates}}] : [];
  return {type: 'FeatureCollection', features};
}
