// Where a site may be: numbered places on the map; a click on one chooses it in the list.
import {BOLD_LABEL, ink, paperMap, stretch} from './paper-map.js';

draw(document.getElementById('map'));

async function draw(element) {
  const spots = JSON.parse(element.dataset.spots);
  const around = spots.reduce((bounds, {lon, lat}) => stretch(bounds, [lon, lat]), null);
  const map = await paperMap(element, around ? {bounds: around} : {});
  if (!map) return;
  const radios = [...document.querySelectorAll('input[name="place"]')];
  const data = () => ({
    type: 'FeatureCollection',
    features: spots.map(({number, lon, lat}) => ({
      type: 'Feature',
      geometry: {type: 'Point', coordinates: [lon, lat]},
      properties: {number: String(number), chosen: radios[number - 1].checked},
    })),
  });
  map.addSource('spots', {type: 'geojson', data: data()});
  map.addLayer({
    id: 'spots',
    type: 'circle',
    source: 'spots',
    paint: {
      'circle-radius': ['case', ['get', 'chosen'], 16, 12],
      'circle-color': ink('paper'),
      'circle-stroke-color': ink('ink'),
      'circle-stroke-width': ['case', ['get', 'chosen'], 5, 2],
    },
  });
  map.addLayer({
    id: 'numbers',
    type: 'symbol',
    source: 'spots',
    layout: {'text-field': ['get', 'number'], 'text-font': BOLD_LABEL, 'text-size': 14, 'text-allow-overlap': true},
    paint: {'text-color': ink('ink')},
  });
  map.on('click', 'spots', ({features: [found]}) => {
    radios[Number(found.properties.number) - 1].checked = true;
    map.getSource('spots').setData(data());
  });
  for (const one of radios) one.addEventListener('change', () => map.getSource('spots').setData(data()));
  map.once('idle', () => { document.body.dataset.map = 'ready'; });
}
