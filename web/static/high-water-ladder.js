// The water ladder while the slider moves: the water's edge, and the parts of the chosen site.
const SVG = 'http://www.w3.org/2000/svg';
const TICK = 296;
const APART = 13;
let picked = [];

function scale() {
  const water = document.querySelector('.ladder-water');
  if (!water) return null;
  const {first, last, bottom, foot} = Object.fromEntries(Object.entries(water.dataset).map(([name, one]) => [name, Number(one)]));
  const y = (ft) => bottom - (Math.min(Math.max(ft, first), last) - first) * foot;
  return {water, bottom, first, last, y};
}

/** Let the water stand at a stage. */
export function waterOnLadder(ft) {
  const ladder = scale();
  if (!ladder) return;
  const level = ladder.y(ft);
  ladder.water.setAttribute('y', level);
  ladder.water.setAttribute('height', ladder.bottom - level);
  const line = document.querySelector('.ladder-level');
  line.setAttribute('y1', level);
  line.setAttribute('y2', level);
  for (const word of document.querySelectorAll('.ladder-said text')) word.textContent = `water at ${ft.toFixed(1)} ft`;
}

/** Mark the parts of one site at their stages: [label, stage] each. */
export function pickOnLadder(parts) {
  picked = parts;
  const group = document.querySelector('.ladder-picked');
  const ladder = scale();
  if (!group || !ladder) return;
  group.replaceChildren();
  let free = Infinity;
  for (const [label, ft] of picked) {
    if (ft < ladder.first || ft > ladder.last) continue;
    const y = ladder.y(ft);
    const at = Math.min(y + 4, free - APART);
    free = at;
    const tick = document.createElementNS(SVG, 'path');
    tick.setAttribute('d', `M${TICK} ${y}l7-5 7 5-7 5z`);
    const word = document.createElementNS(SVG, 'text');
    for (const [name, value] of Object.entries({x: TICK - 6, y: at})) word.setAttribute(name, value);
    word.textContent = `${label} ${ft.toFixed(1)}`;
    group.append(tick, word);
  }
}
