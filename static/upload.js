// Sending a photo with a drop zone and progress. Without this file the plain form does the same.
// A form takes part with data-upload; inside it a file input, and if wanted an element with data-drop.

const LOST = 'The photo could not be sent: the app did not answer. See whether it is still running, then send again. '
  + 'Your photo and what you filled in are still here.';

const STOPPED_LATE = 'Stopped waiting. The app may have the photo already: look before you send it again.';

/** "3.4 MB" and the like. @param {number} bytes @returns {string} */
export function sizeInWords(bytes) {
  if (bytes < 1000) return `${bytes} bytes`;
  return bytes < 1e6 ? `${Math.round(bytes / 1000)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}

/** Did the answer come from another address than the one that was asked?
 * @param {string} asked @param {string} answered @returns {boolean} */
export function wasRedirected(asked, answered) {
  if (!answered) return false;
  const bare = (url) => new URL(url, document.baseURI).href.split('#')[0];
  return bare(asked) !== bare(answered);
}

/** Take over one form.
 * @param {HTMLFormElement} form */
export function attachUpload(form) {
  if (form.dataset.uploadStarted) return;
  form.dataset.uploadStarted = 'yes';
  const input = form.querySelector('input[type="file"]');
  if (!input) return;
  const parts = addParts(form, input);
  listenToDrop(form.querySelector('[data-drop]'), input, parts);
  input.addEventListener('change', () => showChosen(input, parts));
  showChosen(input, parts);

  let request = null;
  let sent = false;
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    if (request) return;
    const url = new URL(form.getAttribute('action') || window.location.href, document.baseURI).href;
    request = new XMLHttpRequest();
    sent = false;
    const done = () => {
      request = null;
      sending(form, parts, false);
    };
    request.upload.addEventListener('progress', (step) => showProgress(parts, step));
    request.upload.addEventListener('load', () => {
      sent = true;
      parts.progress.removeAttribute('value');
      parts.status.textContent = 'Sent. The app is reading the photo …';
    });
    request.addEventListener('load', () => {
      const answer = request;
      done();
      takeAnswer(form, parts, url, answer);
    });
    request.addEventListener('error', () => {
      done();
      fail(parts, LOST);
    });
    request.addEventListener('abort', () => {
      done();
      parts.status.textContent = sent ? STOPPED_LATE : 'Stopped. The photo was not sent; it is still chosen here.';
    });
    const fields = new FormData(form, event.submitter ?? undefined);
    clearFailure(form, parts);
    sending(form, parts, true);
    parts.status.textContent = 'Sending …';
    request.open('POST', url);
    request.setRequestHeader('Accept', 'text/html');
    request.send(fields);
  });
  parts.stop.addEventListener('click', () => request?.abort());
  window.addEventListener('pageshow', (event) => {
    if (event.persisted) sending(form, parts, false);
  });
}

/** The status line, the progress bar and the stop button: the form's own, or new ones after the file input. */
function addParts(form, input) {
  const zone = form.querySelector('[data-drop]') ?? input;
  const own = (selector, make) => {
    let part = form.querySelector(selector);
    if (!part) {
      part = make();
      box.append(part);
    }
    return part;
  };
  const box = document.createElement('div');
  box.className = 'upload-parts';
  zone.after(box);
  const status = own('[data-upload-status]', () => {
    const line = document.createElement('p');
    line.dataset.uploadStatus = '';
    line.setAttribute('aria-live', 'polite');
    return line;
  });
  const progress = own('[data-upload-progress]', () => {
    const bar = document.createElement('progress');
    bar.dataset.uploadProgress = '';
    bar.max = 1;
    bar.setAttribute('aria-label', 'Sending the photo');
    return bar;
  });
  const stop = own('[data-upload-stop]', () => {
    const button = document.createElement('button');
    button.type = 'button';
    button.dataset.uploadStop = '';
    button.textContent = 'Stop sending';
    return button;
  });
  progress.hidden = true;
  stop.hidden = true;
  return { status, progress, stop, box };
}

function listenToDrop(zone, input, parts) {
  if (!zone) return;
  let depth = 0;
  const over = (on) => zone.classList.toggle('is-over', on);
  zone.addEventListener('dragenter', () => {
    depth += 1;
    over(true);
  });
  zone.addEventListener('dragleave', () => {
    depth -= 1;
    if (depth <= 0) over(false);
  });
  zone.addEventListener('drop', (event) => {
    event.preventDefault();
    depth = 0;
    over(false);
    const files = [...(event.dataTransfer?.files ?? [])];
    if (!files.length) {
      fail(parts, 'That was no photo file. Drop a file from a folder here, or choose one.');
      return;
    }
    const taken = new DataTransfer();
    (input.multiple ? files : files.slice(0, 1)).forEach((file) => taken.items.add(file));
    input.files = taken.files;
    input.dispatchEvent(new Event('change', { bubbles: true }));
    if (!input.multiple && files.length > 1) {
      parts.status.textContent += ' Only the first file was taken; photos are sent one by one.';
    }
  });
}

function showChosen(input, parts) {
  const files = [...input.files];
  parts.status.classList.remove('is-error');
  parts.status.textContent = files.length
    ? `Chosen: ${files.map((f) => `${f.name} (${sizeInWords(f.size)})`).join(', ')}`
    : 'No photo chosen yet.';
}

function showProgress(parts, { lengthComputable, loaded, total }) {
  if (!lengthComputable || !total) return;
  parts.progress.value = loaded / total;
  parts.status.textContent = `Sending … ${Math.floor((loaded / total) * 100)} %`;
}

function sending(form, parts, on) {
  form.setAttribute('aria-busy', String(on));
  parts.progress.hidden = !on;
  parts.stop.hidden = !on;
  if (on) parts.progress.value = 0;
  form.querySelectorAll('button:not([type]), button[type="submit"], input[type="submit"]').forEach((button) => {
    button.disabled = on;
  });
}

function fail(parts, sentence) {
  parts.status.classList.add('is-error');
  parts.status.textContent = sentence;
}

/** What was said about the last try is no longer true once the next one begins. */
function clearFailure(form, parts) {
  parts.status.classList.remove('is-error');
  form.querySelectorAll('[data-upload-failure], [role="alert"]').forEach((note) => note.remove());
}

/** What the server said: go where it sent us, or show its page without losing the chosen file. */
function takeAnswer(form, parts, asked, answer) {
  if (wasRedirected(asked, answer.responseURL)) {
    parts.status.textContent = 'Sent. Opening the next page …';
    window.location.assign(answer.responseURL);
    return;
  }
  const isPage = (answer.getResponseHeader('Content-Type') ?? '').includes('text/html');
  const page = isPage ? new DOMParser().parseFromString(answer.responseText, 'text/html') : null;
  const fresh = page?.querySelector('main');
  const main = document.querySelector('main');
  if (fresh && main?.contains(form) && (answer.status < 400 || fresh.querySelector('form[data-upload]'))) {
    replaceMain(main, fresh, form, page.title);
  } else if (fresh) {
    showFailure(form, [...fresh.childNodes]);
    fail(parts, 'The photo was not taken. It is still chosen here.');
  } else {
    fail(parts, `The photo was not taken (the app answered ${answer.status}). ${reason(answer)}`
      + 'Your photo and what you filled in are still here.');
  }
}

/** The reason in a plain or JSON answer, if it is a sentence. */
function reason(answer) {
  try {
    const { detail } = JSON.parse(answer.responseText);
    return typeof detail === 'string' ? `${detail.replace(/\.?$/, '.')} ` : '';
  } catch {
    return '';
  }
}

/** An error page without the form: its content is shown above the form, which stays as it is. */
function showFailure(form, nodes) {
  const note = document.createElement('div');
  note.dataset.uploadFailure = '';
  note.setAttribute('role', 'alert');
  note.tabIndex = -1;
  note.append(...nodes);
  note.querySelectorAll('h1').forEach((heading) => {
    const lower = document.createElement('h2'); // the page has its own h1
    lower.append(...heading.childNodes);
    heading.replaceWith(lower);
  });
  form.prepend(note);
  note.focus();
}

/** Put the answer's <main> in place of the page's, with the chosen files carried over. */
function replaceMain(main, fresh, form, title) {
  const files = new Map();
  form.querySelectorAll('input[type="file"]').forEach((input) => files.set(input.name, input.files));
  const next = document.adoptNode(fresh);
  main.replaceWith(next);
  if (title) document.title = title;
  next.querySelectorAll('form[data-upload] input[type="file"]').forEach((input) => {
    if (files.get(input.name)?.length) input.files = files.get(input.name);
  });
  attachAll();
  document.dispatchEvent(new CustomEvent('upload:main-replaced', { detail: { main: next } }));
  const first = next.querySelector('[role="alert"]') ?? next.querySelector('[aria-invalid="true"], h1') ?? next;
  if (!first.matches('input, select, textarea')) first.tabIndex = -1;
  first.focus();
}

/** Take over every upload form on the page. */
export function attachAll() {
  document.querySelectorAll('form[data-upload]').forEach(attachUpload);
}

attachAll();
// A file dropped beside the zone must not make the browser leave the page.
['dragover', 'drop'].forEach((name) => window.addEventListener(name, (event) => {
  if (document.querySelector('form[data-upload]')) event.preventDefault();
}));
