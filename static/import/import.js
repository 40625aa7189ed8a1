// Import of a folder: the list is made from names and beginnings; then the photos go in one by one.
import { choose, chosen, fileOf, ofDrop, ofInput } from '/static/import/folder.js';

const BEGINNING = 256 * 1024; // bytes in which a JPEG or PNG notes its day
const WHOLE_AT_MOST = 60e6; // a larger file is listed by its beginning alone; the app takes none far above it
const NOTED_ANYWHERE = /\.(heic|heif|tiff?|webp)$/i;
const LOST = 'The app did not answer. See whether it is still running, then go on; what is stored stays.';
let busy = false;

async function answered(url, fields) {
  const body = new FormData();
  Object.entries(fields).forEach(([name, value]) => body.append(name, value));
  const answer = await fetch(url, { method: 'POST', body });
  if (!answer.ok) throw new Error(String(answer.status));
  return answer.json();
}

function trouble(error) {
  return /^\d+$/.test(error.message) ? `The app refused with ${error.message}. Nothing was lost; try again.` : LOST;
}

/** Show another page's content without leaving this one, so that the chosen files stay chosen. */
async function show(answer) {
  const page = new DOMParser().parseFromString(await answer.text(), 'text/html');
  const fresh = document.adoptNode(page.querySelector('main'));
  document.querySelector('main').replaceWith(fresh);
  document.title = page.title;
  if (answer.status < 400) window.history.pushState(null, '', answer.url);
  attach();
  const first = fresh.querySelector('[aria-invalid="true"]') ?? fresh.querySelector('h1');
  if (first.matches('h1')) first.tabIndex = -1;
  first.focus();
}

function attachChooser(box, changed) {
  const words = box.querySelector('[data-chosen]');
  const take = (named) => {
    if (busy) return;
    words.textContent = choose(named);
    changed();
  };
  box.querySelectorAll('input[type="file"]').forEach((input) => {
    input.addEventListener('change', () => take(ofInput(input.files)));
  });
  const zone = box.querySelector('[data-folder-drop]');
  zone.addEventListener('dragover', () => zone.classList.add('is-over'));
  zone.addEventListener('dragleave', () => zone.classList.remove('is-over'));
  zone.addEventListener('drop', async (event) => {
    event.preventDefault();
    zone.classList.remove('is-over');
    try {
      take(await ofDrop(event.dataTransfer));
    } catch {
      words.textContent = 'What was dropped could not be read. Choose the folder with the button instead.';
    }
  });
}

function attachNew(box) {
  const [words, bar, make] = ['[data-chosen]', '[data-progress]', '[data-make]'].map((s) => box.querySelector(s));
  let begun;
  attachChooser(box, () => {
    begun = undefined;
    make.disabled = !chosen.size;
  });
  make.addEventListener('click', async () => {
    busy = true;
    make.disabled = true;
    bar.hidden = false;
    try {
      begun ??= (await answered('/imports', {})).id;
      let done = 0;
      for (const [path, file] of chosen) {
        const beginning = NOTED_ANYWHERE.test(path) && file.size < WHOLE_AT_MOST ? file : file.slice(0, BEGINNING);
        await answered(`/imports/${begun}/list`, { path, size: file.size, beginning });
        done += 1;
        bar.value = done / chosen.size;
        words.textContent = `${done} of ${chosen.size} read.`;
      }
      await show(await fetch(`/imports/${begun}`));
    } catch (error) {
      words.textContent = trouble(error);
      make.disabled = false;
    }
    busy = false;
  });
}

function attachRun(box) {
  const begun = box.dataset.importRun;
  const [words, bar, go, pause, refused] = ['[data-chosen]', '[data-progress]', '[data-go]', '[data-pause]',
    '[data-refused]'].map((s) => box.querySelector(s));
  let paused = false;
  const ready = () => {
    go.disabled = !chosen.size;
  };
  attachChooser(box, ready);
  words.textContent = chosen.size ? 'The folder is still chosen here.' : 'Choose the folder again; it is not kept.';
  ready();
  pause.addEventListener('click', () => {
    paused = true;
    words.textContent = 'Pausing after this photo …';
  });
  go.addEventListener('click', async () => {
    [busy, paused, go.disabled, pause.hidden, bar.hidden] = [true, false, true, false, false];
    refused.replaceChildren();
    pause.focus();
    try {
      words.textContent = await run();
    } catch (error) {
      words.textContent = trouble(error);
    }
    [busy, go.disabled, pause.hidden] = [false, false, true];
    go.textContent = 'Go on';
    go.focus();
  });

  /** Send what waits; give what is to be said where it did not come to its end. */
  async function run() {
    const lines = await (await fetch(`/imports/${begun}/waiting`)).json();
    const missing = [];
    for (const [place, line] of lines.entries()) {
      if (paused) return `Paused: ${place} of ${lines.length} gone through.`;
      const photo = fileOf(line);
      if (photo) {
        const { state, sentence } = await store(line, photo);
        if (state === 'stop') return sentence;
        if (state === 'waits') missing.push(line.path);
        if (state === 'failed' || state === 'waits') tell(line.path, sentence);
      } else {
        missing.push(line.path);
        tell(line.path, 'not among the files chosen now. Choose the folder that holds it, then go on.');
      }
      bar.value = (place + 1) / lines.length;
      words.textContent = `${place + 1} of ${lines.length} gone through.`;
    }
    if (missing.length) return `${missing.length} still to come in, see below; the rest is done.`;
    await show(await fetch(`/imports/${begun}`));
    return '';
  }

  /** Send one photo. One that the app cannot answer for waits, and does not hold up the others. */
  async function store(line, photo) {
    try {
      return await answered(`/imports/${begun}/photos/${line.id}`, { photo });
    } catch (error) {
      if (!/^\d+$/.test(error.message)) throw error;
      return { state: 'waits', sentence: `The app refused with ${error.message}. It waits; go on tries it again.` };
    }
  }

  function tell(path, sentence) {
    const row = document.createElement('li');
    row.textContent = `${path}: ${sentence}`;
    refused.append(row);
  }
}

/** Send a form and show its answer in place. */
function attachForm(form) {
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    if (busy) return;
    busy = true;
    try {
      await show(await fetch(form.action, { method: 'POST', body: new FormData(form) }));
    } catch {
      let note = form.querySelector('[data-lost]');
      if (!note) {
        note = document.createElement('p');
        note.dataset.lost = '';
        note.setAttribute('role', 'alert');
        form.append(note);
      }
      note.textContent = `${LOST} What you entered is still here.`;
    }
    busy = false;
  });
}

function attach() {
  document.querySelectorAll('[data-import-new]').forEach(attachNew);
  document.querySelectorAll('[data-import-run]').forEach(attachRun);
  document.querySelectorAll('form[data-import-form]').forEach(attachForm);
}

attach();
// A file dropped beside the zone must not make the browser leave the page.
['dragover', 'drop'].forEach((name) => window.addEventListener(name, (event) => event.preventDefault()));
window.addEventListener('popstate', () => window.location.reload());
window.addEventListener('beforeunload', (event) => {
  if (busy) event.preventDefault();
});
