// Mouse, pen and fingers on the stage: one marks, two move and zoom the photo.

import { distance, screenToPhoto } from './geometry.js';

// Screen pixels. point: a drag takes hold of a point; edge: of an edge of a closed outline. While an outline
// is still being set, new places lie close to old ones, so a tap must be nearer to mean the old one:
// tap for a point, line for an edge.
const REACH = {
  mouse: { point: 10, edge: 6, tap: 7, line: 4 },
  pen: { point: 14, edge: 8, tap: 9, line: 4 },
  touch: { point: 20, edge: 12, tap: 12, line: 5 },
};

/** How far from a point or an edge a press still takes hold of it, in photo pixels.
 * @param {string} kind pointer type @param {import('./view.js').View} view */
export function reachOf(kind, view) {
  const inScreen = Object.entries(REACH[kind] ?? REACH.touch);
  return Object.fromEntries(inScreen.map(([name, far]) => [name, far * view.pixel]));
}

/** Listens on the stage and turns presses into calls of the tool and of the view.
 * @param {HTMLElement} stage
 * @param {{view: import('./view.js').View, tool: () => object, panning: () => boolean,
 *   changed: () => void, marking: (at: object) => void, hover: (what: string) => void, ended: (used: boolean) => void}} desk */
export function listenToPointers(stage, desk) {
  const { view } = desk;
  const down = new Map();
  let doing = 'nothing'; // nothing, mark, pan, pinch, spent
  let press = null;

  const place = (event) => {
    const box = stage.getBoundingClientRect();
    return [event.clientX - box.left - stage.clientLeft, event.clientY - box.top - stage.clientTop];
  };
  const report = (at) => desk.marking({ at: screenToPhoto(view, at), screen: at, kind: press.kind });

  const begin = (event, at) => {
    press = { at, kind: event.pointerType, moved: 0, id: event.pointerId, tool: desk.tool() };
    const middle = event.pointerType === 'mouse' && event.button === 1;
    if (middle || desk.panning()) doing = 'pan';
    else doing = press.tool.press(screenToPhoto(view, at), reachOf(press.kind, view)) ? 'mark' : 'pan';
    if (doing === 'pan') stage.classList.add('is-panning');
  };

  stage.addEventListener('pointerdown', (event) => {
    if (event.pointerType === 'mouse' && event.button > 1) return;
    const pen = [...down.values()].some((d) => d.kind === 'pen');
    if (pen && event.pointerType === 'touch') return; // the hand that holds the pen
    const at = place(event);
    stage.setPointerCapture(event.pointerId);
    down.set(event.pointerId, { at, kind: event.pointerType });
    if (down.size === 1) begin(event, at);
    else if (down.size === 2) {
      if (doing === 'mark') press.tool.cancel();
      doing = event.pointerType === 'touch' ? 'pinch' : 'spent';
    }
    desk.changed();
  });

  stage.addEventListener('pointermove', (event) => {
    const at = place(event);
    const own = down.get(event.pointerId);
    if (!own) {
      if (down.size === 0) {
        const what = desk.panning() ? 'pan' : desk.tool().whatIsAt(screenToPhoto(view, at), reachOf('mouse', view));
        desk.hover(what);
      }
      return;
    }
    if (doing === 'pan') {
      view.panBy(at[0] - own.at[0], at[1] - own.at[1]);
    } else if (doing === 'pinch') {
      pinch(view, [...down.entries()], event.pointerId, at);
    } else if (doing === 'mark') {
      const between = event.getCoalescedEvents?.() ?? [];
      [...between.slice(0, -1).map(place), at].forEach((p) => {
        press.moved = Math.max(press.moved, distance(p, press.at));
        press.tool.drag(screenToPhoto(view, p), press.moved);
      });
      if (press.moved > 4 || press.kind === 'touch') report(at);
    }
    own.at = at;
    desk.changed();
  });

  const end = (event) => {
    if (!down.delete(event.pointerId)) return;
    const used = doing === 'mark';
    if (used) {
      if (event.type === 'pointerup') press.tool.release();
      else press.tool.cancel();
    }
    doing = down.size ? 'spent' : 'nothing';
    if (!down.size) stage.classList.remove('is-panning');
    desk.ended(used);
    desk.changed();
  };
  stage.addEventListener('pointerup', end);
  stage.addEventListener('pointercancel', end);
  stage.addEventListener('lostpointercapture', end);
  stage.addEventListener('mousedown', (event) => event.preventDefault()); // focus is set by hand
  stage.addEventListener('contextmenu', (event) => {
    if (down.size) event.preventDefault(); // a long press is no menu
  });

  stage.addEventListener('wheel', (event) => {
    const fingers = event.ctrlKey; // a pinch on a touchpad comes as a wheel with Ctrl
    if (!fingers && (event.deltaY === 0 || (event.deltaY > 0 && view.isWhole))) return; // let the page scroll
    event.preventDefault();
    const lines = event.deltaMode === 1 ? 16 : 1;
    const step = Math.min(Math.max(event.deltaY * lines, -120), 120);
    view.zoomAt(Math.exp(-step * (fingers ? 0.01 : 0.0022)), ...place(event));
    desk.changed();
  }, { passive: false });
}

function pinch(view, entries, moving, at) {
  const [a, b] = entries.map(([, d]) => d.at);
  const [na, nb] = entries.map(([id, d]) => (id === moving ? at : d.at));
  const middle = (p, q) => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
  const from = middle(a, b);
  const to = middle(na, nb);
  view.panBy(to[0] - from[0], to[1] - from[1]);
  const before = distance(a, b);
  if (before > 0) view.zoomAt(distance(na, nb) / before, ...to);
}
