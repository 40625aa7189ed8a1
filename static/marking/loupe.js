// A magnifier in a corner of the stage, so that a finger does not hide the point it moves.

const MOST_SIZE = 132; // screen pixels
const PART_OF_STAGE = 0.38;
const TIMES = 2.5;
const SURROUND = '#a6a6a6';

export class Loupe {
  /** @param {HTMLCanvasElement} canvas @param {HTMLImageElement} image @param {import('./view.js').View} view */
  constructor(canvas, image, view) {
    this.canvas = canvas;
    this.image = image;
    this.view = view;
  }

  hide() {
    this.canvas.hidden = true;
  }

  /** @param {import('./geometry.js').Point} centre photo pixels, shown in the middle
   * @param {import('./geometry.js').Point} finger screen pixels
   * @param {{points: import('./geometry.js').Point[], closed: boolean}[]} lines */
  show(centre, finger, lines) {
    const { canvas, image, view } = this;
    const density = window.devicePixelRatio || 1;
    const size = Math.round(Math.min(MOST_SIZE, view.stageHeight * PART_OF_STAGE));
    canvas.hidden = false;
    canvas.style.width = `${size}px`;
    canvas.style.height = `${size}px`;
    canvas.width = Math.round(size * density);
    canvas.height = canvas.width;
    canvas.classList.toggle('is-right', finger[0] < view.stageWidth / 2 && finger[1] < size + 90);
    const scale = view.scale * TIMES;
    const pen = canvas.getContext('2d');
    pen.setTransform(density, 0, 0, density, 0, 0);
    pen.fillStyle = SURROUND;
    pen.fillRect(0, 0, size, size);
    const left = size / 2 - centre[0] * scale;
    const top = size / 2 - centre[1] * scale;
    if (image.naturalWidth) pen.drawImage(image, left, top, view.width * scale, view.height * scale);
    lines.forEach(({ points, closed }) => {
      pen.beginPath();
      points.forEach(([x, y], i) => pen[i ? 'lineTo' : 'moveTo'](x * scale + left, y * scale + top));
      if (closed) pen.closePath();
      edged(pen, 3.5, 1.5);
    });
    pen.beginPath();
    [[-22, 0, -6, 0], [6, 0, 22, 0], [0, -22, 0, -6], [0, 6, 0, 22]].forEach(([x, y, u, v]) => {
      pen.moveTo(size / 2 + x, size / 2 + y);
      pen.lineTo(size / 2 + u, size / 2 + v);
    });
    edged(pen, 4, 1.8);
  }
}

function edged(pen, under, over) {
  pen.lineJoin = 'round';
  pen.strokeStyle = '#000';
  pen.lineWidth = under;
  pen.stroke();
  pen.strokeStyle = '#fff';
  pen.lineWidth = over;
  pen.stroke();
}
