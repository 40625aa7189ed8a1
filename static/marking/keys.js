// The keyboard on the stage: points are moved with the arrows; a cross sets new ones.

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** @param {KeyboardEvent} event @returns {[number, number] | null} the step in screen pixels */
export function arrowStep(event) {
  const arrow = ARROWS[event.key];
  if (!arrow || event.ctrlKey || event.metaKey || event.altKey) return null;
  const far = event.shiftKey ? 10 : 1;
  return [arrow[0] * far, arrow[1] * far];
}

/** Keys on the stage and its points.
 * @param {HTMLElement} root @param {HTMLElement} stage
 * @param {{point: (index: number, dx: number, dy: number) => void, whole: (dx: number, dy: number) => void,
 *   cursor: (dx: number, dy: number) => void, enter: (index: number) => void, remove: (index: number) => void,
 *   leave: () => void, undo: () => void, redo: () => void, zoom: (factor: number) => void}} desk */
export function listenToKeys(root, stage, desk) {
  root.addEventListener('keydown', (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const key = event.key.toLowerCase();
    if (key === 'z') (event.shiftKey ? desk.redo : desk.undo)();
    else if (key === 'y') desk.redo();
    else return;
    event.preventDefault();
  });

  stage.addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const handle = event.target.closest('.mark-handle');
    const index = handle?.dataset.point === undefined ? -1 : Number(handle.dataset.point);
    const step = arrowStep(event);
    if (step && index >= 0) desk.point(index, ...step);
    else if (step && handle) desk.whole(...step);
    else if (step) desk.cursor(...step);
    else if (event.key === 'Enter') desk.enter(handle && index < 0 ? -2 : index);
    else if ((event.key === 'Delete' || event.key === 'Backspace') && index >= 0) desk.remove(index);
    else if (event.key === 'Escape') desk.leave();
    else if (event.key === '+' || event.key === '=') desk.zoom(1.4);
    else if (event.key === '-') desk.zoom(1 / 1.4);
    else if (event.key === '0') desk.zoom(0);
    else return;
    event.preventDefault();
  });
}

/** Points are focused after a press too; the ring that shows focus is drawn only for the keyboard.
 * @param {HTMLElement} root */
export function showFocusByKeys(root) {
  const mark = (on) => root.classList.toggle('by-keys', on);
  document.addEventListener('keydown', () => mark(true), true);
  root.addEventListener('pointerdown', () => mark(false), true);
}

/** Space, held while the mouse is over the stage, moves the photo; elsewhere Space keeps its meaning.
 * @param {HTMLElement} stage @param {(held: boolean) => void} held */
export function listenToSpace(stage, held) {
  let over = false;
  let down = false;
  stage.addEventListener('pointerenter', () => { over = true; });
  stage.addEventListener('pointerleave', () => { over = false; });
  const ours = () => {
    const active = document.activeElement;
    if (!active || active === document.body || stage.contains(active)) return true;
    return !active.matches('input, textarea, select, summary, [contenteditable]') && !active.matches(':focus-visible');
  };
  document.addEventListener('keydown', (event) => {
    if (event.key !== ' ' || event.ctrlKey || event.metaKey || event.altKey) return;
    if (!down && !(over && ours())) return;
    event.preventDefault();
    if (!down) {
      down = true;
      held(true);
    }
  });
  document.addEventListener('keyup', (event) => {
    if (event.key !== ' ' || !down) return;
    event.preventDefault();
    down = false;
    held(false);
  });
  window.addEventListener('blur', () => {
    if (down) held(false);
    down = false;
  });
}
