// What the page says about the marking: states of the two modes, and the next step.

/** @param {import('./card-box.js').CardBox} card @returns {string} */
export function cardState(card) {
  if (!card.marked) return 'not marked yet';
  return card.crossed.length ? 'marked, crossed' : 'marked';
}

/** @param {import('./outline.js').Outline} outline @returns {string} */
export function outlineState(outline) {
  const count = outline.points.length;
  if (count === 0) return 'not marked yet';
  const points = count === 1 ? '1 point' : `${count} points`;
  if (count < 3) return `${points}, too few`;
  if (outline.crossed.length) return `${points}, crossed`;
  if (outline.offered) return `${points}, to check`;
  return outline.closed ? points : `${points}, open`;
}

/** The sentence that says what to do next, and whether it is a warning.
 * @param {{mode: string, moving: boolean, card: object, outline: object, boxStarted: boolean, cardOnly: boolean}} now
 * @returns {{text: string, warning: boolean}} */
export function nextStep({ mode, moving, card, outline, boxStarted, cardOnly }) {
  if (moving) return say('Drag to move the photo. Choose “Move photo” again to go on marking.');
  return mode === 'card' ? cardStep(card, outline, boxStarted, cardOnly) : outlineStep(card, outline);
}

function cardStep(card, outline, boxStarted, cardOnly) {
  if (boxStarted) return say('Move the cross to the opposite corner of the card and press Enter.');
  if (card.drawing) return say('Let go at the opposite corner of the card.');
  if (!card.marked) return say('Drag a box over the grey card, from one corner to the opposite one.');
  if (card.crossed.length) return warn('The card’s edges cross. Move its corners back, or undo.');
  if (cardOnly) return say('Marked. If the card is tilted, move its corners one by one.');
  const tilted = 'Grey card marked. If the card is tilted, move its corners one by one.';
  if (!outline.marked) return say(`${tilted} Then choose “Outline”.`);
  if (outline.offered) return say(`${tilted} Then choose “Outline” and check it.`);
  return say(tilted);
}

function outlineStep(card, outline) {
  const count = outline.points.length;
  if (outline.drawing) return say('Draw around the whole brow or liner, back to where you began.');
  if (count === 0) return say('Draw around the brow or liner in one stroke, or set points along its edge.');
  if (outline.crossed.length) {
    return warn('The outline crosses itself at the dashed double lines. Move or remove a point there, or undo.');
  }
  if (count < 3) return warn(`An outline needs at least three points; this has ${count}. Set more along the edge.`);
  if (!outline.closed) {
    if (outline.history.now.drawn) return say('Go on drawing from the last point, back to the ringed first one; or “Close outline”.');
    return say('Go on along the edge. To finish, press the ringed first point or “Close outline”.');
  }
  if (outline.offered) {
    return say(outline.origin.says || 'This outline is from the last photo of the same work. Move it into place.');
  }
  const done = 'Outline closed. Drag a point to move it; press on an edge to add one.';
  return say(card.marked ? done : `${done} The grey card is not marked yet.`);
}

function say(text) {
  return { text, warning: false };
}

function warn(text) {
  return { text, warning: true };
}
