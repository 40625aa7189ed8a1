// Undo and redo over whole values; the values themselves are never changed in place.

const JOIN_WITHIN_MS = 1200;

/** A line of values with a place in it.
 * @template T */
export class History {
  /** @param {T} first */
  constructor(first) {
    this.values = [first];
    this.at = 0;
    this.join = null;
    this.joinedAt = 0;
  }

  /** @returns {T} */
  get now() {
    return this.values[this.at];
  }

  get canUndo() {
    return this.at > 0;
  }

  get canRedo() {
    return this.at + 1 < this.values.length;
  }

  /** Go on to a new value. Steps with the same `join` word that follow each other quickly
   * (a point pushed along with an arrow key) count as one.
   * @param {T} value @param {string | null} [join] @param {number} [time] */
  push(value, join = null, time = Date.now()) {
    const same = join !== null && join === this.join && time - this.joinedAt < JOIN_WITHIN_MS;
    if (!same) this.at += 1;
    this.values = [...this.values.slice(0, this.at), value];
    this.join = join;
    this.joinedAt = time;
  }

  undo() {
    if (this.canUndo) this.at -= 1;
    this.join = null;
  }

  redo() {
    if (this.canRedo) this.at += 1;
    this.join = null;
  }
}
