// Closed roads on the Day page: drawn on the map, and set point by point, by pointer or by keys.
import {ink} from './paper-map.js';

const section = document.getElementById('closed-roads');
const element = document.getElementById('map');
if (section && element) whenReady(element, start);

/** Call back once the page's map is drawn; where it cannot be, points are typed. */
function whenReady(mapElement, then) {
  const timer = setInterval(() => {
    if (mapElement.classList.contains('map-missing')) clearInterval(timer);
    if (!mapElement.paperMap) return;
    clearInterval(timer);
    then(mapElement.paperMap);
  }, 100);
}

async function start(map) {
  const closed = await (await fetch(section.dataset.closed, {credentials: 'same-origin'})).json();
  map.addSource('closed', {type: 'geojson', data: closed});
  map.addSource('drawn', {type: 'geojson', data: shapeOf([], false)});
  for (const source of ['closed', 'drawn']) {
    map.addLayer({id: `${source}-area`, type: 'fill', source, filter: ['==', ['geometry-type'], 'Polygon'], paint: {'fill-color': ink('rust'), 'fill-opacity': 0.15}});
    map.addLayer({id: `${source}-line`, type: 'line', source, paint: {'line-color': ink('rust'), 'line-width': 5, 'line-dasharray': [0.6, 0.6]}});
  }
  map.addLayer({id: 'drawn-points', type: 'circle', source: 'drawn', filter: ['==', ['geometry-type'], 'Point'], paint: {'circle-radius': 5, 'circle-color': ink('paper'), 'circle-stroke-color': ink('rust'), 'circle-stroke-width': 2}});
  const form = document.querySelector('#draw-closure form');
  if (form) drawBy(form, map);
  section.dataset.ready = 'yes';
}

/** Let points be set by clicks, from the middle of the map, or typed: the text is what counts. */
function drawBy(form, map) {
  const text = form.elements.points;
  const part = (name) => form.querySelector(`[data-draw="${name}"]`);
  const show = () => map.getSource('drawn').setData(shapeOf(pointsIn(text.value), form.elements.shape.value === 'area'));
  const add = ({lng, lat}) => {
    text.value = `${text.value.trimEnd()}\n${lng.toFixed(6)}, ${lat.toFixed(6)}`.trimStart();
    part('said').textContent = `Point ${pointsIn(text.value).length} set.`;
    show();
  };
  let clicking = false;
  part('click').addEventListener('click', () => {
    clicking = !clicking;
    part('click').setAttribute('aria-pressed', String(clicking));
    map.getCanvas().classList.toggle('drawing', clicking);
    part('said').textContent = clicking ? 'Click on the map; each click sets a point.' : 'Clicks set no point now.';
  });
  part('middle').addEventListener('click', () => add(map.getCenter()));
  part('back').addEventListener('click', () => {
    text.value = text.value.trimEnd().split('\n').slice(0, -1).join('\n');
    part('said').textContent = `${pointsIn(text.value).length} points left.`;
    show();
  });
  map.on('click', ({lngLat}) => { if (clicking) add(lngLat); });
  form.addEventListener('input', show);
  form.querySelector('.draw-tools').hidden = false;
}

/** Return the points of a text, one longitude and latitude in each line; others are left out. */
function pointsIn(text) {
  return text.split('\n').map((line) => line.split(/[,\s]+/).filter(Boolean).map(Number))
    .filter((point) => point.length === 2 && point.every(Number.isFinite));
}

function shapeOf(points, area) {
  const features = points.map((coordinates) => ({type: 'Feature', properties: {}, geometry: {type: 'Point', coordinates}}));
  if (points.length > 1) {
    const geometry = area && points.length > 2
      ? {type: 'Polygon', coordinates: [[...points, points[0]]]}
      : {type: 'LineString', coordinates: points};
    features.push({type: 'Feature', properties: {}, geometry});
  }
  return {type: 'FeatureCollection', features};
}
