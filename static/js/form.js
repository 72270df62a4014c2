// Every form: the device's time at sending, no second sending by a nervous finger, and a true line about saving.
const RETRY_MS = 4000;

export function start(page) {
  const line = page.querySelector("[data-saving]");
  const say = (key) => {
    if (line && line.dataset[key]) line.textContent = line.dataset[key];
  };
  for (const form of page.querySelectorAll("form[data-keep]")) watch(form, say);
}

function watch(form, say) {
  const id = form.elements.namedItem("form_id");
  const at = form.querySelector("[data-at]");
  const sent = `sent ${location.pathname} ${form.id}`;
  let sentAt = 0;

  if (id && cameBack()) {
    // Back to a page that was sent: under the same id the laptop can tell a repeat or a correction from something new.
    const before = remembered(sent);
    if (before && !form.querySelector("[data-problems]")) id.value = before;
  }

  form.addEventListener("input", () => say("wordsTyping"));
  form.addEventListener("submit", (event) => {
    if (event.defaultPrevented) return;
    const now = Date.now();
    if (now - sentAt < RETRY_MS) {
      event.preventDefault();
      return;
    }
    sentAt = now;
    if (at) at.value = new Date(now).toISOString();
    if (id && form.method === "post") remember(sent, id.value);
    if (event.submitter) event.submitter.setAttribute("aria-busy", "true");
    say("wordsSending");
    setTimeout(() => {
      // Still here: let it be tried again. The id is the same, so it is kept only once.
      if (event.submitter) event.submitter.removeAttribute("aria-busy");
      say("wordsWaiting");
    }, RETRY_MS);
  });
  addEventListener("pageshow", (event) => {
    if (!event.persisted) return;
    sentAt = 0;
    for (const busy of form.querySelectorAll("[aria-busy]")) busy.removeAttribute("aria-busy");
    say("wordsTyping");
  });
}

function cameBack() {
  const entries = performance.getEntriesByType("navigation");
  return entries.length > 0 && entries[0].type === "back_forward";
}

function remember(key, value) {
  try {
    sessionStorage.setItem(key, value);
  } catch {
    // No store, no memory: the server-made id still holds.
  }
}

function remembered(key) {
  try {
    return sessionStorage.getItem(key);
  } catch {
    return null;
  }
}
