// Letters for maps, drawn from the device's own fonts: no font is sent, none is asked for.
//
// MapLibre asks an address for 256 letters at a time, as signed distances to their outline in a
// protocol buffer. This module answers for the addresses "ink://{fontstack}/{range}".

const SIZE = 24;
const BORDER = 3;
const REACH = 8;
/** Distance from the outline, in pixels, at which a letter's field is fully out or in. */
const INSIDE = 0.25;
/** Share of the field that lies inside of the outline. */
const ASCENT = 27;
/** Where MapLibre's own letters have their top edge above the baseline at this size. */
const FAR = 1e20;

/** Answer MapLibre's questions for letters. */
export function installGlyphs(maplibregl) {
  maplibregl.addProtocol('ink', async ({url}) => {
    const [stack, range] = url.replace(/^ink:\/\//, '').split('/');
    return {data: glyphRange(decodeURIComponent(stack), range)};
  });
}

function glyphRange(stack, range) {
  const [first, last] = range.split('-').map(Number);
  const drawn = [...field(1, text(stack)), ...field(2, text(range))];
  const pen = penFor(stack);
  for (let code = first; code <= last; code += 1) {
    if (!isLetter(code)) continue;
    const glyph = letter(pen, code);
    drawn.push(...field(3, message(glyph)));
  }
  return new Uint8Array(field(1, drawn)).buffer;
}

/** Controls and halves of pairs are no letters. */
function isLetter(code) {
  return code >= 32 && !(code >= 127 && code < 160) && !(code >= 0xd800 && code < 0xe000);
}

function penFor(stack) {
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = SIZE * 3;
  const pen = canvas.getContext('2d', {willReadFrequently: true});
  const family = getComputedStyle(document.documentElement).getPropertyValue('--serif') || 'serif';
  pen.font = `${stack.includes('bold') ? 'bold ' : ''}${SIZE}px ${family}`;
  pen.textBaseline = 'alphabetic';
  return pen;
}

function letter(pen, code) {
  const said = String.fromCodePoint(code);
  const told = pen.measureText(said);
  const top = Math.ceil(told.actualBoundingBoxAscent);
  const left = Math.max(0, Math.ceil(told.actualBoundingBoxLeft));
  const width = Math.max(0, Math.min(SIZE * 2, left + Math.ceil(told.actualBoundingBoxRight)));
  const height = Math.max(0, Math.min(SIZE * 2, top + Math.ceil(told.actualBoundingBoxDescent)));
  const glyph = {code, width, height, left: -left, top: top - ASCENT, advance: Math.round(told.width)};
  if (!width || !height) return {...glyph, width: 0, height: 0, bitmap: null};
  pen.clearRect(0, 0, pen.canvas.width, pen.canvas.height);
  pen.fillText(said, BORDER + left, BORDER + top);
  const across = width + 2 * BORDER;
  const down = height + 2 * BORDER;
  return {...glyph, bitmap: distances(pen.getImageData(0, 0, across, down).data, across, down)};
}

/** Return each pixel's signed distance to the outline as 0 to 255; partly covered ones lie on it. */
function distances(pixels, across, down) {
  const outer = new Float64Array(across * down);
  const inner = new Float64Array(across * down);
  for (let at = 0; at < outer.length; at += 1) {
    const covered = pixels[4 * at + 3] / 255;
    const off = 0.5 - covered;
    outer[at] = covered === 1 ? 0 : covered === 0 ? FAR : Math.max(0, off) ** 2;
    inner[at] = covered === 1 ? FAR : covered === 0 ? 0 : Math.max(0, -off) ** 2;
  }
  spread(outer, across, down);
  spread(inner, across, down);
  return Uint8Array.from(outer, (out, at) => {
    const away = Math.sqrt(out) - Math.sqrt(inner[at]);
    return Math.max(0, Math.min(255, Math.round(255 - 255 * (away / REACH + INSIDE))));
  });
}

/** Squared distances in two passes: P. Felzenszwalb, D. Huttenlocher, Theory of Computing 8, 2012. */
function spread(grid, across, down) {
  for (let x = 0; x < across; x += 1) spreadLine(grid, x, across, down);
  for (let y = 0; y < down; y += 1) spreadLine(grid, y * across, 1, across);
}

function spreadLine(grid, start, step, length) {
  const heights = new Float64Array(length);
  const vertices = new Int32Array(length);
  const edges = new Float64Array(length + 1);
  for (let q = 0; q < length; q += 1) heights[q] = grid[start + q * step];
  edges[0] = -FAR;
  edges[1] = FAR;
  let last = 0;
  for (let q = 1; q < length; q += 1) {
    let edge;
    do {
      const v = vertices[last];
      edge = (heights[q] - heights[v] + q * q - v * v) / (2 * (q - v));
    } while (edge <= edges[last] && --last >= 0);
    last += 1;
    vertices[last] = q;
    edges[last] = edge;
    edges[last + 1] = FAR;
  }
  for (let q = 0, at = 0; q < length; q += 1) {
    while (edges[at + 1] < q) at += 1;
    grid[start + q * step] = heights[vertices[at]] + (q - vertices[at]) ** 2;
  }
}

// The protocol buffer: numbers in sevens of bits, texts and messages with their length before them.

function message({code, bitmap, width, height, left, top, advance}) {
  return [
    ...number(1, code),
    ...(bitmap ? field(2, bitmap) : []),
    ...number(3, width), ...number(4, height),
    ...number(5, signed(left)), ...number(6, signed(top)),
    ...number(7, advance),
  ];
}

function number(place, value) {
  return [place << 3, ...sevens(value)];
}

function field(place, bytes) {
  return [(place << 3) | 2, ...sevens(bytes.length), ...bytes];
}

function sevens(value) {
  const bytes = [];
  let rest = value;
  while (rest > 127) {
    bytes.push((rest & 127) | 128);
    rest >>>= 7;
  }
  return [...bytes, rest];
}

function signed(value) {
  return value < 0 ? -2 * value - 1 : 2 * value;
}

function text(said) {
  return new TextEncoder().encode(said);
}
