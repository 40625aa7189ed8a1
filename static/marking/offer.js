// Outlines that come from elsewhere: the last photo's, carried over, or one proposed once the card is marked.

/** @typedef {{source: string, confidence: string, says: string}} Origin */

/** @type {Origin} */
export const BY_HAND = { source: 'drawn', confidence: '', says: '' };

/** What the page tells of the outline it came with.
 * @param {HTMLElement} root the element with data-marking @returns {Origin} */
export function originOnPage(root) {
  const value = (name) => root.querySelector(`[name="${name}"]`)?.value ?? '';
  const source = value('outline_from') || BY_HAND.source;
  return { source, confidence: value('outline_confidence'), says: root.dataset.outlineSays ?? '' };
}

/** Ask for an outline once the card is marked and none is there; it is offered, never forced.
 * @param {HTMLElement} root @param {import('./outline.js').Outline} outline
 * @param {(points: import('./geometry.js').Point[]) => import('./geometry.js').Point[]} inside
 * @param {() => void} changed */
export function askForOutline(root, outline, inside, changed) {
  const address = root.dataset.proposalUrl;
  if (!address) return;
  let asked = '';
  root.addEventListener('marking:change', async ({ detail }) => {
    const corners = detail.what === 'card' && detail.points.length === 4 ? JSON.stringify(detail.points) : '';
    if (!corners || outline.points.length || corners === asked) return;
    asked = corners;
    try {
      const answer = await fetch(address, { method: 'POST', body: new URLSearchParams({ card_corners: corners }) });
      if (answer.status !== 200) return;
      const { outline: points, source, confidence, says } = await answer.json();
      outline.offer(inside(points), { source, confidence: confidence === null ? '' : String(confidence), says });
      changed();
    } catch {
      // Without an offer the outline is drawn by hand, as always.
    }
  });
}
