// The marks of the high water map on a canvas of their own: drawn whole for each stage, which takes
// less than having the map lay its symbols out again.
import {ink} from './paper-map.js';

const SIZE = 16;
const MAY_CLOSE = 1;
/** Thousands of small pictures are copied faster in memory than handed to a graphics card. */
const ON_CPU = {willReadFrequently: true};

/** Return what draws the marks of places over a map, and moves the map to one. */
export function drawMarks(map, state) {
  const canvas = document.createElement('canvas');
  canvas.className = 'water-marks';
  canvas.setAttribute('aria-hidden', 'true');
  map.getCanvasContainer().append(canvas);
  const sprites = Object.fromEntries(Object.entries(SHAPES).map(([name, shape]) => [name, sprite(shape)]));
  let stageFt = 0;
  let at = null; // where each place lies on the canvas, until the map moves
  const redraw = () => {
    at ??= {sites: project(map, state.places.sites, 2), roads: project(map, state.places.roads, 1)};
    paint(map, canvas, sprites, state, stageFt, at);
  };
  const moved = () => { at = null; redraw(); };
  map.on('move', moved);
  map.on('resize', moved);
  return {
    draw(ft) { stageFt = ft; redraw(); },
    show(place) { if (!map.getBounds().contains(place)) map.jumpTo({center: place}); },
  };
}

/** Project places once for a view of the map; ``from`` is where a place's longitude stands. */
function project(map, places, from) {
  const xy = new Float32Array(2 * places.length);
  places.forEach((place, i) => {
    const {x, y} = map.project([place[from], place[from + 1]]);
    xy[2 * i] = x;
    xy[2 * i + 1] = y;
  });
  return xy;
}

function paint(map, canvas, sprites, {places, picked}, ft, at) {
  const ratio = window.devicePixelRatio || 1;
  const {clientWidth: width, clientHeight: height} = map.getContainer();
  if (canvas.width !== Math.round(width * ratio) || canvas.height !== Math.round(height * ratio)) {
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
    canvas.style.width = `${width}px`;
    canvas.style.height = `${height}px`;
  }
  const context = canvas.getContext('2d', ON_CPU);
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.clearRect(0, 0, canvas.width, canvas.height);
  let n = 0;
  const put = (name, xy, i) => {
    const [x, y] = [xy[2 * i], xy[2 * i + 1]];
    if (x < -SIZE || y < -SIZE || x > width + SIZE || y > height + SIZE) return;
    context.drawImage(sprites[name], Math.round((x - SIZE / 2) * ratio), Math.round((y - SIZE / 2) * ratio));
    n += 1;
  };
  const wet = [];
  places.sites.forEach((place, i) => {
    if (place[4][0][1] <= ft) wet.push(i); // wet ones lie on top
    else put('dry', at.sites, i);
  });
  for (const i of wet) put('wet', at.sites, i);
  const inView = n;
  places.roads.forEach((one, i) => put(road(one[3], one[4], ft), at.roads, i));
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  const chosen = places.sites.findIndex(([id]) => id === picked);
  if (chosen >= 0) ring(context, {x: at.sites[2 * chosen], y: at.sites[2 * chosen + 1]});
  canvas.dataset.wet = wet.length;
  canvas.dataset.inView = inView;
}

function road(closes, mayClose, ft) {
  if (closes !== null && closes <= ft) return 'closed';
  return (mayClose ?? (closes === null ? Infinity : closes - MAY_CLOSE)) <= ft ? 'near' : 'open';
}

function ring(context, {x, y}) {
  for (const [style, width] of [[ink('paper'), 6], [ink('ink'), 3]]) {
    context.beginPath();
    context.arc(x, y, SIZE * 0.8, 0, 2 * Math.PI);
    context.strokeStyle = style;
    context.lineWidth = width;
    context.stroke();
  }
}

const SHAPES = {
  dry(c) { c.beginPath(); c.arc(8, 8, 4.6, 0, 2 * Math.PI); c.fill(); c.stroke(); },
  wet(c) {
    c.fillRect(2.5, 2.5, 11, 11);
    c.strokeRect(2.5, 2.5, 11, 11);
    c.lineWidth = 1.3;
    for (const [from, to] of [[[3, 8], [8, 3]], [[3, 13], [13, 3]], [[8, 13], [13, 8]]]) line(c, from, to);
  },
  open(c) { bar(c, []); },
  near(c) { bar(c, [3, 2.5]); },
  closed(c) {
    for (const [style, width] of [[ink('paper'), 6], [ink('ink'), 3]]) {
      c.strokeStyle = style;
      c.lineWidth = width;
      line(c, [3, 3], [13, 13]);
      line(c, [13, 3], [3, 13]);
    }
  },
};

function bar(c, dash) {
  c.lineWidth = 6;
  c.strokeStyle = ink('paper');
  line(c, [1, 8], [15, 8]);
  c.lineWidth = 3;
  c.strokeStyle = ink('ink');
  c.setLineDash(dash);
  line(c, [1, 8], [15, 8]);
}

function line(c, from, to) {
  c.beginPath();
  c.moveTo(...from);
  c.lineTo(...to);
  c.stroke();
}

function sprite(shape) {
  const scale = window.devicePixelRatio || 1;
  const canvas = document.createElement('canvas');
  canvas.width = Math.ceil(SIZE * scale);
  canvas.height = Math.ceil(SIZE * scale);
  const context = canvas.getContext('2d', ON_CPU);
  context.scale(scale, scale);
  context.fillStyle = ink('paper');
  context.strokeStyle = ink('ink');
  context.lineWidth = 1.6;
  shape(context);
  return canvas;
}
