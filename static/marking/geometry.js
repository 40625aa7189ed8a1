// Pure geometry: numbers in, numbers out. A point is [x, y]; nothing here knows the page.

/** @typedef {[number, number]} Point */
/** @typedef {{scale: number, x: number, y: number}} ViewState screen = photo * scale + (x, y) */

/** Photo pixels to screen pixels (measured from the stage's top left corner).
 * @param {ViewState} view @param {Point} p @returns {Point} */
export function photoToScreen(view, [x, y]) {
  return [x * view.scale + view.x, y * view.scale + view.y];
}

/** Screen pixels (from the stage's top left corner) to photo pixels.
 * @param {ViewState} view @param {Point} p @returns {Point} */
export function screenToPhoto(view, [x, y]) {
  return [(x - view.x) / view.scale, (y - view.y) / view.scale];
}

/** The nearest place inside a photo of the given size.
 * @param {Point} p @param {number} width @param {number} height @returns {Point} */
export function clampToPhoto([x, y], width, height) {
  return [Math.min(Math.max(x, 0), width), Math.min(Math.max(y, 0), height)];
}

/** Points rounded to a tenth of a pixel, as they are sent.
 * @param {Point[]} points @returns {Point[]} */
export function rounded(points) {
  return points.map(([x, y]) => [Math.round(x * 10) / 10, Math.round(y * 10) / 10]);
}

/** @param {Point} a @param {Point} b @returns {number} */
export function distance(a, b) {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

/** The place on the segment a–b that is nearest to p.
 * @param {Point} p @param {Point} a @param {Point} b @returns {Point} */
export function nearestOnSegment(p, a, b) {
  const dx = b[0] - a[0];
  const dy = b[1] - a[1];
  const square = dx * dx + dy * dy;
  const along = square === 0 ? 0 : ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square;
  const t = Math.min(Math.max(along, 0), 1);
  return [a[0] + t * dx, a[1] + t * dy];
}

/** Length of a line through the points.
 * @param {Point[]} points @returns {number} */
export function lineLength(points) {
  let sum = 0;
  for (let i = 1; i < points.length; i += 1) sum += distance(points[i - 1], points[i]);
  return sum;
}

/** The edges of an outline as index pairs; the last one leads back only when closed.
 * @param {number} count @param {boolean} closed @returns {[number, number][]} */
export function edges(count, closed) {
  const list = [];
  for (let i = 0; i + 1 < count; i += 1) list.push([i, i + 1]);
  if (closed && count > 2) list.push([count - 1, 0]);
  return list;
}

/** Index of the nearest point within reach, or -1.
 * @param {Point[]} points @param {Point} p @param {number} reach @returns {number} */
export function nearestPoint(points, p, reach) {
  let best = -1;
  let least = reach;
  points.forEach((q, i) => {
    const d = distance(p, q);
    if (d <= least) {
      least = d;
      best = i;
    }
  });
  return best;
}

/** The nearest edge within reach: its index (it starts at that point) and the place on it, or null.
 * @param {Point[]} points @param {boolean} closed @param {Point} p @param {number} reach
 * @returns {{edge: number, at: Point} | null} */
export function nearestEdge(points, closed, p, reach) {
  let best = null;
  let least = reach;
  edges(points.length, closed).forEach(([i, j], edge) => {
    const at = nearestOnSegment(p, points[i], points[j]);
    const d = distance(p, at);
    if (d <= least) {
      least = d;
      best = { edge, at };
    }
  });
  return best;
}

/** A copy with one point put into the given edge.
 * @param {Point[]} points @param {number} edge @param {Point} p @returns {Point[]} */
export function insertPoint(points, edge, p) {
  return [...points.slice(0, edge + 1), p, ...points.slice(edge + 1)];
}

/** The four corners of the box between two opposite corners: top left first, then clockwise.
 * @param {Point} a @param {Point} b @returns {Point[]} */
export function boxCorners(a, b) {
  const left = Math.min(a[0], b[0]);
  const right = Math.max(a[0], b[0]);
  const top = Math.min(a[1], b[1]);
  const bottom = Math.max(a[1], b[1]);
  return [[left, top], [right, top], [right, bottom], [left, bottom]];
}

/** Is the place inside the polygon (even-odd)?
 * @param {Point[]} points @param {Point} p @returns {boolean} */
export function contains(points, [x, y]) {
  let inside = false;
  for (let i = 0, j = points.length - 1; i < points.length; j = i, i += 1) {
    const [xi, yi] = points[i];
    const [xj, yj] = points[j];
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}

/** @param {Point[]} points @returns {{left: number, top: number, right: number, bottom: number}} */
export function bounds(points) {
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  return { left: Math.min(...xs), top: Math.min(...ys), right: Math.max(...xs), bottom: Math.max(...ys) };
}

function side(a, b, c) {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

function between(a, b, c) {
  return Math.min(a[0], b[0]) <= c[0] && c[0] <= Math.max(a[0], b[0])
    && Math.min(a[1], b[1]) <= c[1] && c[1] <= Math.max(a[1], b[1]);
}

/** Do two segments cross or touch?
 * @param {Point} a @param {Point} b @param {Point} c @param {Point} d @returns {boolean} */
export function segmentsCross(a, b, c, d) {
  const s1 = side(a, b, c);
  const s2 = side(a, b, d);
  const s3 = side(c, d, a);
  const s4 = side(c, d, b);
  if (((s1 > 0 && s2 < 0) || (s1 < 0 && s2 > 0)) && ((s3 > 0 && s4 < 0) || (s3 < 0 && s4 > 0))) return true;
  return (s1 === 0 && between(a, b, c)) || (s2 === 0 && between(a, b, d))
    || (s3 === 0 && between(c, d, a)) || (s4 === 0 && between(c, d, b));
}

/** Where the lines through a–b and c–d meet (they must not be parallel).
 * @param {Point} a @param {Point} b @param {Point} c @param {Point} d @returns {Point} */
function meetingPoint(a, b, c, d) {
  const r = [b[0] - a[0], b[1] - a[1]];
  const s = [d[0] - c[0], d[1] - c[1]];
  const t = ((c[0] - a[0]) * s[1] - (c[1] - a[1]) * s[0]) / (r[0] * s[1] - r[1] * s[0]);
  return Number.isFinite(t) ? [a[0] + t * r[0], a[1] + t * r[1]] : [a[0], a[1]];
}

/** Do two neighbouring edges, which share the point b, run back over each other?
 * @param {Point} a @param {Point} b @param {Point} c @returns {boolean} */
function foldsBack(a, b, c) {
  const along = (a[0] - b[0]) * (c[0] - b[0]) + (a[1] - b[1]) * (c[1] - b[1]);
  return side(a, b, c) === 0 && along > 0;
}

/** Pairs of edges of an outline that cross, touch or run over each other (neighbours only when they fold back).
 * @param {Point[]} points @param {boolean} closed @returns {[number, number][]} */
export function crossings(points, closed) {
  const list = edges(points.length, closed);
  const found = [];
  for (let i = 0; i < list.length; i += 1) {
    for (let j = i + 1; j < list.length; j += 1) {
      const [a, b] = list[i];
      const [c, d] = list[j];
      if (b === c) {
        if (foldsBack(points[a], points[b], points[d])) found.push([i, j]);
      } else if (d === a) {
        if (foldsBack(points[c], points[a], points[b])) found.push([i, j]);
      } else if (segmentsCross(points[a], points[b], points[c], points[d])) {
        found.push([i, j]);
      }
    }
  }
  return found;
}

/** Douglas–Peucker: as few points as keep the line within the tolerance.
 * @param {Point[]} points @param {number} tolerance @returns {Point[]} */
export function simplify(points, tolerance) {
  if (points.length < 3) return points.slice();
  const keep = new Set([0, points.length - 1]);
  const spans = [[0, points.length - 1]];
  while (spans.length) {
    const [from, to] = spans.pop();
    let far = -1;
    let most = tolerance;
    for (let i = from + 1; i < to; i += 1) {
      const d = distance(points[i], nearestOnSegment(points[i], points[from], points[to]));
      if (d > most) {
        most = d;
        far = i;
      }
    }
    if (far > 0) {
      keep.add(far);
      spans.push([from, far], [far, to]);
    }
  }
  return points.filter((_, i) => keep.has(i));
}

/** Simplify, with a tolerance that grows until no more than `most` points are left.
 * @param {Point[]} points @param {number} tolerance @param {number} most @returns {Point[]} */
export function simplifyToAtMost(points, tolerance, most) {
  let result = simplify(points, tolerance);
  for (let t = tolerance * 1.25; result.length > most; t *= 1.25) result = simplify(points, t);
  return result;
}

/** Join a freehand loop at its ends. A hand that comes round again often runs past its start:
 * the tails beyond the crossing, or beyond the nearest approach within reach, are cut off.
 * @param {Point[]} stroke @param {number} reach
 * @returns {{points: Point[], joined: boolean}} joined: the ends met */
export function joinEnds(stroke, reach) {
  const total = lineLength(stroke);
  const run = [0];
  for (let i = 1; i < stroke.length; i += 1) run.push(run[i - 1] + distance(stroke[i - 1], stroke[i]));
  for (let i = 0; i + 1 < stroke.length && run[i] < total * 0.15; i += 1) {
    for (let j = stroke.length - 2; j > i + 1 && total - run[j + 1] < total * 0.15; j -= 1) {
      if (segmentsCross(stroke[i], stroke[i + 1], stroke[j], stroke[j + 1])) {
        const at = meetingPoint(stroke[i], stroke[i + 1], stroke[j], stroke[j + 1]);
        return { points: [at, ...stroke.slice(i + 1, j + 1)], joined: true };
      }
    }
  }
  let best = -1;
  let least = reach;
  for (let j = stroke.length - 1; j > 1 && total - run[j] < total * 0.25; j -= 1) {
    const d = distance(stroke[j], stroke[0]);
    if (d < least) {
      least = d;
      best = j;
    }
  }
  if (best > 1) return { points: stroke.slice(0, best + 1), joined: true };
  return { points: stroke.slice(), joined: false };
}

/** Move all points together, no further than the photo's edge allows.
 * @param {Point[]} points @param {number} dx @param {number} dy @param {number} width @param {number} height
 * @returns {Point[]} */
export function moveAll(points, dx, dy, width, height) {
  const b = bounds(points);
  const x = Math.min(Math.max(dx, -b.left), width - b.right);
  const y = Math.min(Math.max(dy, -b.top), height - b.bottom);
  return points.map((p) => [p[0] + x, p[1] + y]);
}

/** Turn (degrees, clockwise on screen) and scale all points about the middle of their bounds.
 * @param {Point[]} points @param {number} degrees @param {number} factor @returns {Point[]} */
export function turnAndScale(points, degrees, factor) {
  const b = bounds(points);
  const mx = (b.left + b.right) / 2;
  const my = (b.top + b.bottom) / 2;
  const c = Math.cos((degrees * Math.PI) / 180) * factor;
  const s = Math.sin((degrees * Math.PI) / 180) * factor;
  return points.map(([x, y]) => [mx + (x - mx) * c - (y - my) * s, my + (x - mx) * s + (y - my) * c]);
}
