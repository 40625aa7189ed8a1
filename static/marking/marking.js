// Wires one marking area together: template, view, the two tools, pointers, keys and words.

import { CardBox } from './card-box.js';
import { Drawing } from './drawing.js';
import { boxCorners, clampToPhoto, rounded, screenToPhoto } from './geometry.js';
import { listenToKeys, listenToSpace, showFocusByKeys } from './keys.js';
import { Loupe } from './loupe.js';
import { askForOutline, originOnPage } from './offer.js';
import { Outline } from './outline.js';
import { listenToPointers } from './pointers.js';
import { View } from './view.js';
import { cardState, nextStep, outlineState } from './words.js';

const ZOOM_STEP = 1.5;
const TURN = 2; // degrees
const GROW = 1.03;

/** Points from a hidden input; anything that is no list of points counts as none.
 * @param {string} text @returns {import('./geometry.js').Point[]} */
export function readPoints(text) {
  let value = null;
  try {
    value = JSON.parse(text || '[]');
  } catch {
    return [];
  }
  if (!Array.isArray(value)) return [];
  const sound = value.every((p) => Array.isArray(p) && p.length === 2 && p.every(Number.isFinite));
  return sound ? value : [];
}

/** Start one marking area.
 * @param {HTMLElement} root the element with data-marking */
export function startMarking(root) {
  if (root.dataset.started) return;
  root.dataset.started = 'yes';
  const find = (selector) => root.querySelector(selector);
  const stage = find('[data-stage]');
  const image = find('[data-photo]');
  const inputs = { card: find('[name="card_corners"]'), outline: find('[name="outline"]') };
  const view = new View(Number(root.dataset.width), Number(root.dataset.height));
  const inside = (points) => points.map((p) => clampToPhoto(p, view.width, view.height));
  const corners = inside(readPoints(inputs.card.value));
  const tools = {
    card: new CardBox(view, corners.length === 4 ? corners : null),
    outline: new Outline(
      view, inside(readPoints(inputs.outline.value)), root.dataset.outlineOffered === 'yes', originOnPage(root),
    ),
  };
  const drawing = new Drawing(find('[data-overlay]'), window.matchMedia('(pointer: coarse)').matches);
  const loupe = new Loupe(find('[data-loupe]'), image, view);
  const cardOnly = 'cardOnly' in root.dataset;
  const now = { cardOnly, mode: tools.card.marked && !cardOnly ? 'outline' : 'card', moving: false, space: false, cursor: null, boxFrom: null };
  const tool = () => tools[now.mode];

  const write = () => {
    if (tool().gesture) return; // only what the hand has let go of
    const { origin, offered } = tools.outline;
    const nodded = root.dataset.outlineOffered === 'yes' && !offered;
    root.dataset.outlineOffered = offered ? 'yes' : 'no';
    find('[name="outline_from"]').value = tools.outline.points.length ? origin.source : '';
    find('[name="outline_confidence"]').value = origin.confidence;
    Object.entries(inputs).forEach(([name, input]) => {
      const points = rounded(tools[name].points);
      const text = points.length ? JSON.stringify(points) : '';
      if (input.value === text && !(nodded && name === 'outline')) return;
      input.value = text;
      root.dispatchEvent(new CustomEvent('marking:change', { bubbles: true, detail: { what: name, points } }));
    });
  };

  const tell = () => {
    find('[data-state="card"]').textContent = cardState(tools.card);
    find('[data-state="outline"]').textContent = outlineState(tools.outline);
    const { text, warning } = nextStep({ ...now, ...tools, boxStarted: now.boxFrom !== null });
    const line = find('[data-say]');
    if (line.textContent !== text) line.textContent = text;
    line.classList.toggle('is-warning', warning);
  };

  const buttons = () => {
    const { history } = tool();
    const able = {
      undo: history.canUndo,
      redo: history.canRedo,
      close: now.mode === 'outline' && tools.outline.marked && !tools.outline.closed,
      remove: tool().canRemove,
      again: tool().points.length > 0,
      'zoom-in': !view.isMost,
      'zoom-out': !view.isWhole,
      whole: !view.isWhole,
    };
    Object.entries(able).forEach(([name, on]) => setAble(find(`[data-do="${name}"]`), on));
    find('[data-do="again"]').textContent = now.mode === 'card' ? 'Start card again' : 'Start outline again';
    find('[data-do="move"]').setAttribute('aria-pressed', String(now.moving));
    root.querySelectorAll('[data-only]').forEach((part) => { part.hidden = part.dataset.only !== now.mode; });
    find('[data-nod]').hidden = now.mode !== 'outline' || !tools.outline.offered;
    find('[data-whole-outline]').hidden = now.mode !== 'outline' || !tools.outline.closed;
    root.querySelectorAll('[data-mode]').forEach((button) => {
      const chosen = button.dataset.mode === now.mode;
      button.setAttribute('aria-checked', String(chosen));
      button.tabIndex = chosen ? 0 : -1;
    });
  };

  const render = () => {
    image.style.width = `${view.width * view.scale}px`;
    image.style.height = `${view.height * view.scale}px`;
    image.style.transform = `translate(${view.x}px, ${view.y}px)`;
    stage.dataset.zoom = (view.scale / view.wholeScale).toFixed(2);
    stage.classList.toggle('is-movable', now.moving || now.space);
    const { mode, cursor, boxFrom } = now;
    const box = boxFrom && cursor ? boxCorners(boxFrom, cursor) : [];
    drawing.draw(view, { mode, tool: tool(), ...tools, cursor, box });
    write();
    tell();
    buttons();
  };

  const choose = (mode) => {
    tool().selected = -1;
    Object.assign(now, { mode, moving: false, cursor: null, boxFrom: null });
    render();
  };
  const step = (way) => {
    tool().cancel();
    tool().history[way]();
    tool().selected = -1;
    render();
  };
  const zoom = (factor) => {
    if (factor) view.zoomAt(factor);
    else view.whole();
    render();
  };
  const reshape = (degrees, factor) => {
    tools.outline.reshape(degrees, factor);
    render();
  };
  const removePoint = () => {
    if (!tool().canRemove) return;
    tool().remove();
    render();
    if (document.activeElement === document.body) stage.focus({ preventScroll: true });
  };

  const actions = {
    undo: () => step('undo'),
    redo: () => step('redo'),
    close: () => tools.outline.close(),
    remove: removePoint,
    again: () => tool().startAgain(),
    accept: () => tools.outline.accept(),
    anew: () => tools.outline.startAgain(),
    'zoom-in': () => zoom(ZOOM_STEP),
    'zoom-out': () => zoom(1 / ZOOM_STEP),
    whole: () => zoom(0),
    move: () => { now.moving = !now.moving; },
    larger: () => reshape(0, GROW),
    smaller: () => reshape(0, 1 / GROW),
    'turn-left': () => reshape(-TURN, 1),
    'turn-right': () => reshape(TURN, 1),
  };
  root.addEventListener('click', (event) => {
    const button = event.target.closest('button');
    if (!button || button.getAttribute('aria-disabled') === 'true') return;
    if (button.dataset.mode) choose(button.dataset.mode);
    else if (actions[button.dataset.do]) {
      actions[button.dataset.do]();
      render();
      if (button.hidden || button.closest('[hidden]')) stage.focus({ preventScroll: true });
    }
  });
  find('[role="radiogroup"]').addEventListener('keydown', (event) => {
    if (!event.key.startsWith('Arrow')) return;
    event.preventDefault();
    if (cardOnly) return;
    choose(now.mode === 'card' ? 'outline' : 'card');
    find(`[data-mode="${now.mode}"]`).focus();
  });

  listenToPointers(stage, {
    view,
    tool,
    panning: () => now.moving || now.space,
    changed: render,
    hover: (what) => { stage.dataset.over = what; },
    marking: ({ at, screen, kind }) => {
      if (kind !== 'touch') return;
      const t = tool();
      const held = t.drawing ? null : t.points[t.selected];
      const lines = [{ points: t.points, closed: t.closed }];
      if (t.stroke) lines.push({ points: t.stroke, closed: false });
      loupe.show(held ?? clampToPhoto(at, view.width, view.height), screen, lines);
    },
    ended: (used) => {
      loupe.hide();
      if (!used) return;
      now.cursor = null;
      now.boxFrom = null;
      render();
      if (tool().selected >= 0) drawing.focus(tool().selected);
      else stage.focus({ preventScroll: true });
    },
  });

  const inPhotoPixels = (dx, dy) => [dx * view.pixel, dy * view.pixel];
  listenToKeys(root, stage, {
    point: (index, dx, dy) => {
      tool().nudge(index, ...inPhotoPixels(dx, dy));
      view.bringIn(tool().points[index]);
      render();
    },
    whole: (dx, dy) => {
      tools.outline.nudgeWhole(...inPhotoPixels(dx, dy));
      render();
    },
    cursor: (dx, dy) => {
      const from = now.cursor ?? screenToPhoto(view, [view.stageWidth / 2, view.stageHeight / 2]);
      const [x, y] = inPhotoPixels(dx, dy);
      now.cursor = clampToPhoto([from[0] + x, from[1] + y], view.width, view.height);
      view.bringIn(now.cursor);
      render();
    },
    enter: (index) => {
      if (index >= 0) pressPoint(index);
      else if (index === -1 && now.cursor) useCursor();
      render();
    },
    remove: (index) => {
      tool().selected = index;
      removePoint();
      if (tool().selected >= 0) drawing.focus(tool().selected);
    },
    leave: () => {
      tool().cancel();
      now.cursor = null;
      now.boxFrom = null;
      render();
      find(`[data-mode="${now.mode}"]`).focus();
    },
    undo: () => step('undo'),
    redo: () => step('redo'),
    zoom,
  });
  const pressPoint = (index) => {
    if (index === 0 && now.mode === 'outline' && !tools.outline.closed) tools.outline.close();
    tool().selected = index;
  };
  const useCursor = () => {
    if (now.mode === 'outline') {
      tools.outline.add(now.cursor);
      tools.outline.selected = -1;
    } else if (now.boxFrom) {
      tools.card.place(now.boxFrom, now.cursor);
      now.boxFrom = null;
    } else now.boxFrom = now.cursor;
  };
  showFocusByKeys(root);
  listenToSpace(stage, (held) => {
    now.space = held;
    render();
  });
  stage.addEventListener('focusin', (event) => {
    const index = event.target.dataset?.point;
    if (index === undefined) return;
    tool().selected = Number(index);
    if (root.classList.contains('by-keys')) view.bringIn(tool().points[Number(index)]);
    render();
  });

  image.addEventListener('error', () => {
    const line = find('[data-say]');
    line.textContent = 'The photo could not be loaded. Reload the page; what was marked and saved is kept.';
    line.classList.add('is-warning');
  });
  askForOutline(root, tools.outline, inside, render);
  stage.style.aspectRatio = `${view.width} / ${view.height}`;
  find('[data-live]').hidden = false;
  const size = () => {
    view.setStage(stage.clientWidth, stage.clientHeight);
    render();
  };
  new ResizeObserver(size).observe(stage);
  size();
}

/** Buttons stay reachable by keyboard when they have nothing to do. */
function setAble(button, able) {
  button.setAttribute('aria-disabled', String(!able));
}

/** Start every marking area on the page. */
export function startAll() {
  document.querySelectorAll('[data-marking]').forEach(startMarking);
}

startAll();
document.addEventListener('upload:main-replaced', startAll);
