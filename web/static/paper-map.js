// A map on paper: our own base map, drawn by MapLibre from our own tiles.
import {installGlyphs} from './glyphs.js';

/** The font of words on a map. */
export const LABEL = ['label'];
export const BOLD_LABEL = ['label-bold'];

/** Return a colour of the style sheet, such as ink('water'). */
export function ink(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
}

/** Return a MapLibre map in the element, or null where the device cannot draw one. */
export async function paperMap(element, options = {}) {
  if (!window.maplibregl || !hasWebGL()) {
    element.classList.add('map-missing');
    element.textContent = 'This device cannot draw the map. The table on this page says the same.';
    return null;
  }
  installGlyphs(window.maplibregl);
  const style = await (await fetch(element.dataset.style, {credentials: 'same-origin'})).json();
  for (const source of Object.values(style.sources)) {
    source.tiles = source.tiles.map((address) => `${window.location.origin}${address}`);
  }
  const map = new window.maplibregl.Map({
    container: element,
    style,
    bounds: style.metadata?.bounds,
    fitBoundsOptions: {padding: Math.min(48, element.clientWidth / 10), maxZoom: 15},
    attributionControl: false,
    dragRotate: false,
    pitchWithRotate: false,
    fadeDuration: 0,
    maxZoom: 18,
    cooperativeGestures: window.matchMedia('(max-width: 40em)').matches,
    ...options,
  });
  map.touchZoomRotate.disableRotation();
  map.addControl(new window.maplibregl.NavigationControl({showCompass: false}), 'top-left');
  map.addControl(new window.maplibregl.ScaleControl({unit: 'imperial'}));
  map.addControl(new window.maplibregl.AttributionControl({compact: false}));
  map.getCanvas().setAttribute('aria-label', element.getAttribute('aria-label') || 'Map');
  await new Promise((done) => map.once('style.load', done));  // its tiles come meanwhile
  element.paperMap = map;
  return map;
}

/** Open a box at a place: a name that leads somewhere, and words below it. */
export function box(map, lngLat, name, address, said) {
  const told = document.createElement('p');
  const title = document.createElement(address ? 'a' : 'strong');
  if (address) title.href = address;
  title.textContent = name;
  told.append(title, document.createElement('br'), said);
  new window.maplibregl.Popup({maxWidth: '18rem'}).setLngLat(lngLat).setDOMContent(told).addTo(map);
}

function hasWebGL() {
  const canvas = document.createElement('canvas');
  return Boolean(canvas.getContext('webgl2') || canvas.getContext('webgl'));
}

/** Enlarge [west, south, east, north] so that it holds the point. */
export function stretch(bounds, [lon, lat]) {
  if (!bounds) return [lon, lat, lon, lat];
  return [
    Math.min(bounds[0], lon), Math.min(bounds[1], lat),
    Math.max(bounds[2], lon), Math.max(bounds[3], lat),
  ];
}
