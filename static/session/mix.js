/** Says beside a chosen bottle what wants a look before it is used; the server has written it into the choice. */

for (const line of document.querySelectorAll("[data-line]")) {
  const chosen = line.querySelector("select");
  const here = line.querySelector("[data-caution-here]");
  chosen.addEventListener("change", () => {
    const caution = chosen.selectedOptions[0]?.dataset.caution ?? "";
    here.textContent = caution;
    here.hidden = caution === "";
  });
}

// Enter in a field saves; without this it would press the form's first button, which asks for more lines.
const form = document.querySelector("[data-line]")?.closest("form");
form?.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !(event.target instanceof HTMLInputElement)) return;
  event.preventDefault();
  form.requestSubmit(form.querySelector("button.main"));
});
