// Finds as somebody types: the page of what is found is asked for, and its list put in place of this page's.
const PAUSE_MS = 150;

export function start(page) {
  const form = page.querySelector("[data-find]");
  const box = form.querySelector("input");
  let asked = box.defaultValue.trim();
  let timer = 0;
  let running = null;

  const look = async () => {
    const words = box.value.trim();
    if (words === asked) return;
    asked = words;
    running?.abort();
    running = new AbortController();
    const address = words ? `${form.action}?${new URLSearchParams({ find: words })}` : form.action;
    try {
      const answer = await fetch(address, { signal: running.signal });
      if (!answer.ok || answer.redirected) return;
      const found = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("[data-found]");
      if (!found || words !== box.value.trim()) return;
      page.querySelector("[data-found]").replaceChildren(...found.childNodes);
      history.replaceState(null, "", address);
    } catch {
      // Torn off, or the laptop is away: what is shown stays, and the button still asks.
      if (words === asked) asked = null;
    }
  };
  box.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(look, PAUSE_MS);
  });
  look(); // for what was typed before this script was there
}
