/** Sends the marks to the server as they are made, so that a browser that is closed half-way loses none. */

const form = document.querySelector("form[data-draft]");

form?.addEventListener("marking:change", () => {
  const sent = fetch(form.dataset.draft, { method: "POST", body: new FormData(form), keepalive: true });
  sent.catch(() => {}); // the marks are still on the page, and go along with "Measure"
});
