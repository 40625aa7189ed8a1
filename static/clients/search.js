// Search as you type: asks for the list's fragment while typing. Without it the form is sent by Enter or its button.
const form = document.querySelector("[data-client-search]");
const field = form?.querySelector("input[name=q]");
const list = document.querySelector("[data-found]");
const PAUSE = 120; // milliseconds without a key before asking

let timer, asking;

async function ask() {
  asking?.abort();
  asking = new AbortController();
  const query = new URLSearchParams({ q: field.value });
  try {
    const answer = await fetch(`/clients/found?${query}`, { signal: asking.signal });
    if (!answer.ok) return;
    list.innerHTML = await answer.text();
    history.replaceState(null, "", `/clients?${query}`);
  } catch (error) {
    if (error.name !== "AbortError") throw error;
  }
}

if (field && list) {
  field.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, PAUSE);
  });
  field.addEventListener("keydown", (event) => {
    if (event.key !== "ArrowDown") return;
    list.querySelector("a")?.focus();
    event.preventDefault();
  });
}
