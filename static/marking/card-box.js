// The grey card: four corners, first a box dragged open, then each corner on its own.

import { boxCorners, clampToPhoto, contains, crossings, distance, moveAll, nearestPoint } from './geometry.js';
import { History } from './history.js';

const LEAST_BOX = 12; // screen pixels
const CORNER_NAMES = ['top left', 'top right', 'bottom right', 'bottom left'];

/** The card as it is being marked. Coordinates are photo pixels; corners is null or four points. */
export class CardBox {
  /** @param {import('./view.js').View} view @param {import('./geometry.js').Point[] | null} corners */
  constructor(view, corners) {
    this.view = view;
    this.history = new History({ points: corners ?? [] });
    this.draft = null;
    this.gesture = null;
    this.selected = -1;
    this.closed = true;
    this.canRemove = false;
  }

  get points() {
    return this.draft ?? this.history.now.points;
  }

  get marked() {
    return this.points.length === 4;
  }

  get crossed() {
    return crossings(this.points, true);
  }

  get drawing() {
    return this.gesture?.kind === 'box' && this.draft !== null;
  }

  /** What a press at this place would take hold of: 'point', 'whole' or 'empty'. */
  whatIsAt(at, reach) {
    if (nearestPoint(this.points, at, reach.point) >= 0) return 'point';
    return this.marked && contains(this.points, at) ? 'whole' : 'empty';
  }

  /** @returns {boolean} whether the press is used (else the photo may be moved by it) */
  press(at, reach) {
    const index = nearestPoint(this.points, at, reach.point);
    const start = clampToPhoto(at, this.view.width, this.view.height);
    if (index >= 0) this.gesture = { kind: 'point', index, start };
    else if (this.marked && contains(this.points, at)) this.gesture = { kind: 'whole', start };
    else this.gesture = { kind: 'box', start };
    this.selected = index;
    return true;
  }

  /** @param {number} moved the furthest way from the press so far, in screen pixels */
  drag(at, moved) {
    const { kind, index, start } = this.gesture;
    if (moved < 4 && !this.draft) return;
    const { width, height } = this.view;
    const points = this.history.now.points;
    if (kind === 'box') this.draft = boxCorners(start, clampToPhoto(at, width, height));
    else if (kind === 'whole') this.draft = moveAll(points, at[0] - start[0], at[1] - start[1], width, height);
    else this.draft = withMoved(points, index, at[0] - start[0], at[1] - start[1], this.view);
  }

  release() {
    const { draft, gesture } = this;
    this.cancel();
    if (!draft) return;
    const least = LEAST_BOX * this.view.pixel;
    const [a, , c] = draft;
    if (gesture.kind === 'box' && (Math.abs(c[0] - a[0]) < least || Math.abs(c[1] - a[1]) < least)) return;
    this.selected = gesture.kind === 'point' ? gesture.index : -1;
    this.history.push({ points: draft });
  }

  cancel() {
    this.draft = null;
    this.gesture = null;
  }

  /** Keyboard: a box between two places. */
  place(a, b) {
    if (distance(a, b) < LEAST_BOX * this.view.pixel) return;
    this.history.push({ points: boxCorners(a, b) });
  }

  nudge(index, dx, dy) {
    const points = withMoved(this.points, index, dx, dy, this.view);
    this.history.push({ points }, `nudge ${index}`);
    this.selected = index;
  }

  startAgain() {
    if (this.points.length) this.history.push({ points: [] });
    this.selected = -1;
  }

  label(index) {
    return `Card corner, ${CORNER_NAMES[index]}`;
  }
}

/** A copy in which one point is moved, kept inside the photo. */
export function withMoved(points, index, dx, dy, { width, height }) {
  return points.map((p, i) => (i === index ? clampToPhoto([p[0] + dx, p[1] + dy], width, height) : p));
}
