// The bars of the time–distance charts as things that can be focused, taken hold of and carried.

const LEAST_PX = 24;

/** Every line and bar of the charts, in the coordinates of their pictures. */
export class Charts {
  constructor(place) {
    this.place = place;
    this.sheets = [];
  }

  /** Lay a sheet for buttons over each chart; `labels` says stop → words. Pictures that are still
   * the same keep their buttons. */
  read(labels) {
    const known = this.lines ? Map.groupBy(this.lines.values(), ({sheet}) => sheet.svg) : new Map();
    this.sheets = [...this.place.querySelectorAll('.chart')].map((chart) => sheetOf(chart));
    this.lines = new Map();
    for (const sheet of this.sheets) {
      if (known.has(sheet.svg)) {
        for (const line of known.get(sheet.svg)) this.keepLine(sheet, line, labels);
        continue;
      }
      sheet.lifts.replaceChildren();
      for (const line of sheet.svg.querySelectorAll('g.line')) this.readLine(sheet, line, labels);
    }
  }

  keepLine(sheet, line, labels) {
    line.sheet = sheet;
    this.lines.set(line.technician, line);
    for (const {name, button} of line.stops) {
      const words = labels[name] ?? name;
      if (button.getAttribute('aria-label') !== words) button.setAttribute('aria-label', words);
    }
  }

  readLine(sheet, drawn, labels) {
    const runs = [...drawn.querySelectorAll(':scope > polyline')].map((one) => pointsOf(one));
    const line = {
      sheet,
      technician: Number(drawn.dataset.technician),
      start: runs[0][0],
      end: runs.at(-1).at(-1),
      stops: [],
    };
    for (const group of drawn.querySelectorAll('g.stop')) {
      const stop = {name: group.dataset.stop, site: group.dataset.site ?? '', group, ...boxOf(group)};
      stop.button = button(sheet, stop, labels[stop.name] ?? stop.name);
      line.stops.push(stop);
    }
    this.lines.set(line.technician, line);
  }

  find(name) {
    for (const line of this.lines.values()) {
      const stop = line.stops.find((one) => one.name === name);
      if (stop) return {line, stop, at: line.stops.indexOf(stop)};
    }
    return null;
  }

  /** The bar under a pointer, the nearest where several lie there. */
  under(sheet, event) {
    const {x, y, scale} = spot(sheet, event);
    let best = null;
    let least = 12 / scale;
    for (const line of this.lines.values()) {
      if (line.sheet !== sheet) continue;
      for (const stop of line.stops) {
        const away = Math.max(stop.x - x, x - stop.x - stop.width, 0) + Math.abs(stop.y - y);
        if (away < least) [best, least] = [{line, stop, at: line.stops.indexOf(stop)}, away];
      }
    }
    return best;
  }

  /** Where a place between stops lies: `without` is the stop that was lifted. */
  gap(technician, number, without) {
    const line = this.lines.get(technician);
    if (!line) return null;
    const stops = line.stops.filter((one) => one.name !== without);
    const before = number > 0 ? stops[number - 1] : null;
    const after = number < stops.length ? stops[number] : null;
    const from = before ? [before.x + before.width, before.y] : line.start;
    const to = after ? [after.x, after.y] : line.end;
    return {sheet: line.sheet, x: (from[0] + to[0]) / 2, y: (from[1] + to[1]) / 2, from: from[0], to: to[0]};
  }

  /** The place between stops that is nearest to a pointer over a sheet. */
  nearest(sheet, event, without) {
    const {x, y} = spot(sheet, event);
    let best = null;
    let least = Infinity;
    for (const [technician, line] of this.lines) {
      if (line.sheet !== sheet) continue;
      const count = line.stops.filter((one) => one.name !== without).length;
      for (let number = 0; number <= count; number += 1) {
        const gap = this.gap(technician, number, without);
        const across = Math.max(gap.from - x, x - gap.to, 0);
        const away = across + Math.abs(gap.y - y) + Math.abs(gap.x - x) / 50;
        if (away < least) [best, least] = [{technician, number}, away];
      }
    }
    return best;
  }

  /** The number of the place on a technician's line that is nearest in time to x. */
  inTime(technician, x, without) {
    const line = this.lines.get(technician);
    if (!line) return 0;
    return line.stops.filter((one) => one.name !== without && one.x + one.width / 2 < x).length;
  }
}

function sheetOf(chart) {
  let sheet = chart.querySelector('.chart-sheet');
  if (!sheet) {
    sheet = document.createElement('div');
    sheet.className = 'chart-sheet';
    sheet.append(...chart.childNodes);
    const lifts = document.createElement('div');
    lifts.className = 'lifts';
    lifts.setAttribute('role', 'group');
    lifts.setAttribute('aria-label', 'Stops that can be moved');
    lifts.setAttribute('aria-describedby', 'hand-help');
    sheet.append(lifts);
    chart.append(sheet);
    chart.removeAttribute('tabindex');
  }
  const svg = sheet.querySelector('svg');
  const box = svg.viewBox.baseVal;
  return {sheet, svg, lifts: sheet.querySelector('.lifts'), width: box.width, height: box.height};
}

export function redraw(chart, picture) {
  const holder = document.createElement('template');
  holder.innerHTML = picture;
  const old = chart.querySelector('svg');
  old.replaceWith(holder.content.firstElementChild);
}

function pointsOf(polyline) {
  return polyline.getAttribute('points').trim().split(/\s+/).map((one) => one.split(',').map(Number));
}

function boxOf(group) {
  const bar = group.querySelector('rect');
  if (bar) {
    const [x, y, width, height] = ['x', 'y', 'width', 'height'].map((name) => Number(bar.getAttribute(name)));
    return {x, y: y + height / 2, width};
  }
  const box = group.getBBox();
  return {x: box.x, y: box.y + box.height / 2, width: box.width};
}

function button(sheet, stop, words) {
  const made = document.createElement('button');
  made.type = 'button';
  made.className = 'lift';
  made.tabIndex = -1;
  made.dataset.stop = stop.name;
  made.setAttribute('aria-label', words);
  made.setAttribute('aria-pressed', 'false');
  place(made, sheet, stop.x + stop.width / 2, stop.y);
  made.style.width = `max(${LEAST_PX}px, ${(100 * (stop.width + 6)) / sheet.width}%)`;
  sheet.lifts.append(made);
  return made;
}

/** Put the middle of an element at a place of the picture. */
export function place(element, sheet, x, y) {
  element.style.left = `${(100 * x) / sheet.width}%`;
  element.style.top = `${(100 * y) / sheet.height}%`;
}

function spot(sheet, event) {
  const box = sheet.svg.getBoundingClientRect();
  const scale = box.width / sheet.width;
  return {x: (event.clientX - box.left) / scale, y: (event.clientY - box.top) / scale, scale};
}
