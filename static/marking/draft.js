/** Sends the marks to the server as they are made, so that a browser that is closed half-way loses none.
 * One at a time, the latest next: two on their way at once could arrive in the wrong order. */

const form = document.querySelector("form[data-draft]");
let waiting = null;
let sending = false;

async function send() {
  if (sending) return;
  sending = true;
  while (waiting) {
    const marks = waiting;
    waiting = null;
    try {
      await fetch(form.dataset.draft, { method: "POST", body: marks, keepalive: true });
    } catch {
      // The marks are still on the page, and go along with "Measure".
    }
  }
  sending = false;
}

form?.addEventListener("marking:change", () => {
  waiting = new FormData(form);
  if (form.querySelector("[data-outline-offered=yes]")) waiting.delete("outline"); // offered, not yet the artist's own
  send();
});

addEventListener("pagehide", () => {
  if (waiting) navigator.sendBeacon(form.dataset.draft, waiting);
});
