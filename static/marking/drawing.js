// Draws the marks over the photo. Everything is white with a black edge: colour is judged here.

import { distance, edges, photoToScreen } from './geometry.js';

const NS = 'http://www.w3.org/2000/svg';

/** @param {string} name @param {Object<string, string | number>} attributes @returns {SVGElement} */
function make(name, attributes = {}) {
  const element = document.createElementNS(NS, name);
  Object.entries(attributes).forEach(([key, value]) => element.setAttribute(key, String(value)));
  return element;
}

function path(points, closed) {
  if (points.length === 0) return '';
  return `M${points.map((p) => p.map((v) => v.toFixed(1)).join(' ')).join('L')}${closed ? 'Z' : ''}`;
}

/** A line in two strokes: a wider black one under a white one. */
class EdgedLine {
  constructor(parent, name) {
    this.under = make('path', { class: `mark-under mark-${name}` });
    this.over = make('path', { class: `mark-over mark-${name}` });
    parent.append(this.under, this.over);
  }

  set(d) {
    this.under.setAttribute('d', d);
    this.over.setAttribute('d', d);
  }
}

/** The overlay of one marking area. */
export class Drawing {
  /** @param {SVGSVGElement} svg @param {boolean} coarse the main pointer is a finger */
  constructor(svg, coarse) {
    this.svg = svg;
    this.coarse = coarse;
    this.card = new EdgedLine(svg, 'card');
    this.outline = new EdgedLine(svg, 'outline');
    this.closing = new EdgedLine(svg, 'closing');
    this.stroke = new EdgedLine(svg, 'stroke');
    this.crossing = ['edge', 'rails', 'gap'].map((part) => {
      const line = make('path', { class: `mark-crossing-${part}`, 'data-crossing': part });
      svg.append(line);
      return line;
    });
    this.cross = new EdgedLine(svg, 'cross');
    this.move = this.handle('M-7 0H7M0-7V7M-7 0l3-3M-7 0l3 3M7 0l-3-3M7 0l-3 3M0-7l-3 3M0-7l3 3M0 7l-3-3M0 7l3-3');
    this.move.dataset.whole = '';
    this.move.setAttribute('aria-label', 'Whole outline: arrow keys move it');
    svg.append(this.move);
    this.handles = [];
  }

  handle(sign) {
    const g = make('g', { class: 'mark-handle', tabindex: 0, role: 'button' });
    g.append(make('circle', { class: 'mark-reach', r: 18 }), make('circle', { class: 'mark-focus', r: sign ? 18 : 13 }));
    g.append(make('circle', { class: 'mark-ring', r: 11 }), make('circle', { class: 'mark-dot', r: sign ? 13 : 6 }));
    if (sign) g.append(make('path', { class: 'mark-sign', d: sign }));
    return g;
  }

  /** @param {import('./view.js').View} view @param {{mode: string, tool: object, card: object, outline: object,
   * cursor: import('./geometry.js').Point | null, box: import('./geometry.js').Point[]}} now */
  draw(view, { mode, tool, card, outline, cursor, box }) {
    const onScreen = (points) => points.map((p) => photoToScreen(view, p));
    this.svg.dataset.mode = mode;
    const drawnCard = onScreen(card.points);
    const drawnOutline = onScreen(outline.points);
    this.card.set(path(drawnCard, true));
    this.outline.set(path(drawnOutline, outline.closed));
    const gap = !outline.closed && drawnOutline.length > 2;
    this.closing.set(gap ? path([drawnOutline[drawnOutline.length - 1], drawnOutline[0]], false) : '');
    const from = drawnOutline[drawnOutline.length - 1];
    const stroke = outline.stroke ? onScreen(outline.stroke) : [];
    this.stroke.set(path(from && stroke.length ? [from, ...stroke] : stroke, false));
    this.drawCrossings([[card, drawnCard], [outline, drawnOutline]]);
    this.drawHandles(tool, mode === 'card' ? drawnCard : drawnOutline);
    const move = mode === 'outline' ? outline.moveHandle : null;
    place(this.move, move);
    const at = cursor && photoToScreen(view, cursor);
    const cross = at ? `M${at[0] - 14} ${at[1]}h28M${at[0]} ${at[1] - 14}v28` : '';
    this.cross.set(cross + path(onScreen(box), true));
  }

  drawCrossings(shapes) {
    const parts = shapes.map(([shape, points]) => {
      const list = edges(points.length, shape.closed);
      const bad = new Set(shape.crossed.flat());
      return [...bad].map((e) => path(list[e].map((i) => points[i]), false)).join('');
    });
    this.crossing.forEach((line) => line.setAttribute('d', parts.join('')));
  }

  drawHandles(tool, points) {
    while (this.handles.length < points.length) {
      const g = this.handle();
      this.svg.append(g);
      this.handles.push(g);
    }
    while (this.handles.length > points.length) this.handles.pop().remove();
    const radius = this.dotRadius(points);
    const ringed = (i) => i === 0 && !tool.closed && points.length > 2;
    this.handles.forEach((g, i) => {
      place(g, points[i]);
      g.dataset.point = String(i);
      g.setAttribute('aria-label', tool.label(i));
      g.classList.toggle('is-selected', i === tool.selected);
      g.classList.toggle('is-first', ringed(i));
      g.querySelector('.mark-dot').setAttribute('r', String(i === tool.selected ? Math.max(radius, 6) : radius));
    });
  }

  /** Smaller dots where points stand close, so that they do not hide the edge. */
  dotRadius(points) {
    const gaps = points
      .map((p, i) => Math.min(...points.map((q, j) => (i === j ? Infinity : distance(p, q)))))
      .sort((a, b) => a - b);
    const usual = gaps.length ? gaps[Math.floor(gaps.length / 2)] : Infinity;
    const full = this.coarse ? 7 : 5.5;
    return usual < 14 ? 3 : usual < 26 ? Math.min(full, 4.2) : full;
  }

  /** Put the keyboard focus on a point. */
  focus(index) {
    this.handles[index]?.focus({ preventScroll: true });
  }
}

function place(g, at) {
  if (!at) {
    g.setAttribute('display', 'none');
    return;
  }
  g.removeAttribute('display');
  g.setAttribute('transform', `translate(${at[0].toFixed(1)} ${at[1].toFixed(1)})`);
}
