// The outline of the brow or liner: points set one by one, or a line drawn in one go.

import {
  bounds, clampToPhoto, contains, crossings, distance, insertPoint, joinEnds, lineLength, moveAll,
  nearestEdge, nearestPoint, photoToScreen, screenToPhoto, simplifyToAtMost, turnAndScale,
} from './geometry.js';
import { History } from './history.js';
import { BY_HAND } from './offer.js';
import { withMoved } from './card-box.js';

const FREEHAND_AFTER = 8; // screen pixels
const MOVE_AFTER = 4; // screen pixels
const MOST_POINTS_IN_A_STROKE = 48;
const LEAST_STROKE = 24; // screen pixels; anything shorter was meant as a tap
const CAME_ROUND = 0.4; // gap between a stroke's ends, as a part of its length

/** The outline as it is being marked. Coordinates are photo pixels. */
export class Outline {
  /** @param {import('./view.js').View} view @param {import('./geometry.js').Point[]} points
   * @param {boolean} offered the points were not marked on this photo by a hand, and want a nod
   * @param {import('./offer.js').Origin} origin where they come from */
  constructor(view, points, offered, origin) {
    this.view = view;
    const marked = points.length > 0;
    this.history = new History({ points, closed: points.length > 2, offered: offered && marked, origin });
    this.draft = null;
    this.stroke = null;
    this.gesture = null;
    this.selected = -1;
  }

  get points() {
    return this.draft ?? this.history.now.points;
  }

  get closed() {
    return this.history.now.closed && this.points.length > 2;
  }

  get offered() {
    return this.history.now.offered;
  }

  /** Where the outline comes from, also after it was corrected; drawn by hand where it was begun anew. */
  get origin() {
    return this.history.now.origin;
  }

  get marked() {
    return this.points.length > 2;
  }

  get crossed() {
    return crossings(this.points, this.closed);
  }

  get drawing() {
    return this.stroke !== null;
  }

  get canRemove() {
    return this.selected >= 0 && this.selected < this.points.length;
  }

  /** Where the handle that moves the whole outline sits on the screen, or null. */
  get moveHandle() {
    if (!this.closed) return null;
    const b = bounds(this.points);
    const [left, top] = photoToScreen(this.view, [b.left, b.top]);
    const [right, bottom] = photoToScreen(this.view, [b.right, b.bottom]);
    const { stageWidth, stageHeight } = this.view;
    const x = (left + right) / 2;
    if (x < 18 || x > stageWidth - 18) return null;
    const y = bottom + 40 <= stageHeight - 18 ? bottom + 40 : top - 40;
    return y < 18 || y > stageHeight - 18 ? null : [x, y];
  }

  /** What a press at this place would take hold of: 'point', 'edge', 'whole', 'empty' or 'nothing'. */
  whatIsAt(at, reach) {
    if (nearestPoint(this.points, at, reach.point) >= 0) return 'point';
    const handle = this.moveHandle;
    if (handle && distance(screenToPhoto(this.view, handle), at) <= reach.point) return 'whole';
    if (this.edgeAt(at, reach)) return 'edge';
    if (!this.closed) return 'empty';
    return contains(this.points, at) ? 'whole' : 'nothing';
  }

  edgeAt(at, reach) {
    return nearestEdge(this.points, this.closed, at, this.closed ? reach.edge : reach.line);
  }

  /** A line that was drawn and left open goes on from its last point; any other point is moved. */
  goesOnFrom(index) {
    return this.history.now.drawn && !this.closed && index === this.points.length - 1;
  }

  /** @returns {boolean} whether the press is used (else the photo may be moved by it) */
  press(at, reach) {
    const kind = this.whatIsAt(at, reach);
    const start = clampToPhoto(at, this.view.width, this.view.height);
    this.gesture = { kind, start, reach, index: -1 };
    this.selected = -1;
    if (kind === 'point') {
      this.gesture.index = nearestPoint(this.points, at, reach.point);
      this.gesture.near = nearestPoint(this.points, at, this.closed ? reach.point : reach.tap) >= 0;
      if (this.goesOnFrom(this.gesture.index)) this.gesture.kind = 'empty';
      else this.selected = this.gesture.index;
    } else if (kind === 'edge') {
      this.gesture.hit = this.edgeAt(at, reach);
    } else if (kind === 'nothing') {
      this.gesture = null;
      return false;
    }
    return true;
  }

  /** @param {number} moved the furthest way from the press so far, in screen pixels */
  drag(at, moved) {
    const g = this.gesture;
    const { width, height } = this.view;
    const points = this.history.now.points;
    if (g.kind === 'empty') {
      g.path ??= [g.start];
      g.path.push(clampToPhoto(at, width, height));
      if (moved > FREEHAND_AFTER) this.stroke = g.path;
      return;
    }
    if (moved < MOVE_AFTER && !this.draft) return;
    const [dx, dy] = [at[0] - g.start[0], at[1] - g.start[1]];
    if (g.kind === 'whole') {
      this.draft = moveAll(points, dx, dy, width, height);
    } else if (g.kind === 'point') {
      this.draft = withMoved(points, g.index, dx, dy, this.view);
    } else {
      const index = g.hit.edge + 1;
      this.draft = withMoved(insertPoint(points, g.hit.edge, g.hit.at), index, dx, dy, this.view);
      this.selected = index;
    }
  }

  release() {
    const { gesture: g, draft, stroke } = this;
    this.cancel();
    const points = this.points;
    if (stroke) this.endStroke(stroke, g);
    else if (draft) this.set(draft);
    else if (g.kind === 'empty' || (g.kind === 'point' && !g.near)) this.add(g.start);
    else if (g.kind === 'edge') {
      this.set(insertPoint(points, g.hit.edge, g.hit.at));
      this.selected = g.hit.edge + 1;
    } else if (g.kind === 'point' && g.index === 0 && !this.closed && points.length > 2) this.close();
  }

  /** The hand is lifted after drawing: make points of the line, and close it where that was meant. */
  endStroke(stroke, g) {
    const px = this.view.pixel;
    if (lineLength(stroke) < LEAST_STROKE * px) {
      this.add(g.start);
      return;
    }
    const before = this.points;
    const reach = g.reach.point * 1.4;
    const tolerance = 1.5 * px;
    if (before.length === 0) {
      const { points, joined } = joinEnds(stroke, reach);
      const simple = simplifyToAtMost(points, tolerance, MOST_POINTS_IN_A_STROKE);
      const gap = distance(points[0], points[points.length - 1]);
      const last = simple[simple.length - 1];
      if (simple.length > 3 && distance(simple[0], last) < 6 * px) simple.pop();
      const round = joined || gap < CAME_ROUND * lineLength(points);
      this.set(simple, round, { drawn: true });
      return;
    }
    const goesOn = distance(stroke[0], before[before.length - 1]) < g.reach.point;
    const simple = simplifyToAtMost(stroke, tolerance, MOST_POINTS_IN_A_STROKE).slice(goesOn ? 1 : 0);
    const closes = before.length + simple.length > 3 && distance(simple[simple.length - 1], before[0]) < reach;
    if (closes) simple.pop();
    this.set([...before, ...simple], closes, { drawn: true });
  }

  cancel() {
    this.draft = null;
    this.stroke = null;
    this.gesture = null;
  }

  /** One more point at the end; nothing is added to a closed outline. */
  add(at) {
    if (this.closed) return;
    this.set([...this.points, clampToPhoto(at, this.view.width, this.view.height)]);
    this.selected = this.points.length - 1;
  }

  close() {
    if (this.marked && !this.closed) this.set(this.points, true);
  }

  remove() {
    if (!this.canRemove) return;
    const index = this.selected;
    this.set(this.points.filter((_, i) => i !== index));
    this.selected = Math.min(index, this.points.length - 1);
  }

  nudge(index, dx, dy) {
    this.set(withMoved(this.points, index, dx, dy, this.view), this.closed, { join: `nudge ${index}` });
    this.selected = index;
  }

  nudgeWhole(dx, dy) {
    const { width, height } = this.view;
    this.set(moveAll(this.points, dx, dy, width, height), this.closed, { join: 'nudge whole' });
  }

  /** Turn or scale the whole outline about its middle. */
  reshape(degrees, factor) {
    if (!this.closed) return;
    const { width, height } = this.view;
    const points = turnAndScale(this.points, degrees, factor);
    const b = bounds(points);
    if (b.right - b.left > width || b.bottom - b.top > height) return;
    this.set(moveAll(points, 0, 0, width, height), true, { join: 'reshape' });
  }

  startAgain() {
    if (this.points.length) this.set([], false);
    this.selected = -1;
  }

  /** The offered outline fits as it lies. */
  accept() {
    if (this.offered) this.set(this.points, true);
  }

  /** Offer an outline where none is yet. @param {import('./geometry.js').Point[]} points
   * @param {import('./offer.js').Origin} origin */
  offer(points, origin) {
    if (this.points.length || this.gesture || points.length < 3) return;
    this.history.push({ points, closed: true, offered: true, origin });
  }

  label(index) {
    const first = index === 0 && !this.closed && this.points.length > 2 ? ', the first: Enter closes the outline' : '';
    return `Outline point ${index + 1} of ${this.points.length}${first}`;
  }

  /** Take a new state into the history; fewer than three points are never closed. */
  set(points, closed = this.history.now.closed, { join = null, drawn = false } = {}) {
    const before = this.history.now;
    const origin = before.points.length && points.length ? before.origin : BY_HAND;
    this.history.push({ points, closed: closed && points.length > 2, offered: false, drawn, origin }, join);
  }
}
