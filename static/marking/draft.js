/** Sends the marks to the server as they are made, so that a browser that is closed half-way loses none. */

const form = document.querySelector("form[data-draft]");

form?.addEventListener("marking:change", () => {
  const marks = new FormData(form);
  if (form.querySelector("[data-outline-offered=yes]")) marks.delete("outline"); // offered, not yet the artist's own
  const sent = fetch(form.dataset.draft, { method: "POST", body: marks, keepalive: true });
  sent.catch(() => {}); // the marks are still on the page, and go along with "Measure"
});
