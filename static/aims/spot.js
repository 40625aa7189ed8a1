// A click or touch on the picture moves the ring there. Without this, the numbers do it.
const picture = document.querySelector("[data-spot] svg");
const form = document.querySelector("[data-spot-form]");

if (picture && form) {
  form.querySelector("[data-hint]").textContent =
    "Click or touch the picture where the colour is right, or move the ring by the numbers, in per cent.";
  picture.addEventListener("click", (event) => {
    const rect = picture.getBoundingClientRect();
    const share = (place, start, length) => Math.min(Math.max(((place - start) / length) * 100, 0), 100);
    form.elements.across.value = (Math.round(share(event.clientX, rect.left, rect.width) * 2) / 2).toString();
    form.elements.down.value = (Math.round(share(event.clientY, rect.top, rect.height) * 2) / 2).toString();
    form.requestSubmit();
  });
}
