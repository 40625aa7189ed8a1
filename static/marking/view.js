// Which part of the photo the stage shows: zoom and pan.

const MOST_SCREEN_PIXELS_PER_PHOTO_PIXEL = 6;
const MOST_TIMES_WHOLE = 10;

/** screen = photo * scale + (x, y), measured from the stage's top left corner. */
export class View {
  /** @param {number} width photo pixels @param {number} height photo pixels */
  constructor(width, height) {
    this.width = width;
    this.height = height;
    this.stageWidth = 0;
    this.stageHeight = 0;
    this.scale = 1;
    this.x = 0;
    this.y = 0;
  }

  /** The scale at which the whole photo is seen. */
  get wholeScale() {
    return Math.min(this.stageWidth / this.width, this.stageHeight / this.height) || 1;
  }

  get mostScale() {
    return Math.max(MOST_SCREEN_PIXELS_PER_PHOTO_PIXEL, this.wholeScale * MOST_TIMES_WHOLE);
  }

  get isWhole() {
    return this.scale <= this.wholeScale * 1.001;
  }

  get isMost() {
    return this.scale >= this.mostScale * 0.999;
  }

  /** Photo pixels in one screen pixel. */
  get pixel() {
    return 1 / this.scale;
  }

  /** The stage has a (new) size; the same middle stays in the middle.
   * @param {number} width @param {number} height */
  setStage(width, height) {
    if (width <= 0 || height <= 0 || (width === this.stageWidth && height === this.stageHeight)) return;
    const first = this.stageWidth === 0;
    const zoom = this.scale / this.wholeScale;
    const middle = [(this.stageWidth / 2 - this.x) / this.scale, (this.stageHeight / 2 - this.y) / this.scale];
    this.stageWidth = width;
    this.stageHeight = height;
    if (first) {
      this.whole();
      return;
    }
    this.scale = this.wholeScale * zoom;
    this.x = width / 2 - middle[0] * this.scale;
    this.y = height / 2 - middle[1] * this.scale;
    this.settle();
  }

  whole() {
    this.scale = this.wholeScale;
    this.settle();
  }

  /** Zoom by a factor; the place under (sx, sy) stays where it is.
   * @param {number} factor @param {number} [sx] @param {number} [sy] */
  zoomAt(factor, sx = this.stageWidth / 2, sy = this.stageHeight / 2) {
    const scale = Math.min(Math.max(this.scale * factor, this.wholeScale), this.mostScale);
    const real = scale / this.scale;
    this.x = sx - (sx - this.x) * real;
    this.y = sy - (sy - this.y) * real;
    this.scale = scale;
    this.settle();
  }

  /** @param {number} dx @param {number} dy screen pixels */
  panBy(dx, dy) {
    this.x += dx;
    this.y += dy;
    this.settle();
  }

  /** Move just so far that a photo place is at least `margin` screen pixels inside the stage.
   * @param {[number, number]} p @param {number} margin @returns {boolean} whether it moved */
  bringIn([px, py], margin = 24) {
    const before = [this.x, this.y];
    const sx = px * this.scale + this.x;
    const sy = py * this.scale + this.y;
    this.x += Math.max(margin - sx, 0) - Math.max(sx - (this.stageWidth - margin), 0);
    this.y += Math.max(margin - sy, 0) - Math.max(sy - (this.stageHeight - margin), 0);
    this.settle();
    return before[0] !== this.x || before[1] !== this.y;
  }

  /** No gap where the photo is larger than the stage; in the middle where it is smaller. */
  settle() {
    const room = (stage, size, at) => (size <= stage ? (stage - size) / 2 : Math.min(Math.max(at, stage - size), 0));
    this.x = room(this.stageWidth, this.width * this.scale, this.x);
    this.y = room(this.stageHeight, this.height * this.scale, this.y);
  }
}
