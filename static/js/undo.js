// Ten seconds in which a tap can be taken back: an answer that the laptop has, or one that is still on this phone.
import * as outbox from "./outbox.js";

const OFFERED_MS = 10000;
const SHOWN_AFTER_MS = 500; // an answer that is saved at once is offered by the page that comes then
const offered = new Map();

export function start(page) {
  for (const box of page.querySelectorAll("[data-taking-back]")) saved(box);
  outbox.news.addEventListener("change", waiting);
}

function saved(box) {
  const form = box.querySelector("form");
  // Counted from when it was first seen, so that a page that loads again gives no more time.
  const key = `undo ${box.dataset.takingBack}`;
  const until = Number(store("getItem", key)) || Date.now() + OFFERED_MS;
  store("setItem", key, String(until));
  form.addEventListener("submit", () => store("removeItem", `sent ${location.pathname} ${box.dataset.of}`));
  count(box, until, () => form.inert);
}

async function waiting() {
  const records = await outbox.all();
  for (const [id, box] of offered) if (!records.some((one) => one.id === id)) box.remove();
  for (const record of records) {
    const age = Date.now() - record.made;
    const form = document.querySelector(`form[data-kept="${record.id}"]`);
    if (!form || !form.inert || !record.undo || offered.has(record.id) || age > OFFERED_MS) continue;
    if (record.state === "look") continue;
    const box = document.getElementById("undo-here").content.firstElementChild.cloneNode(true);
    offered.set(record.id, box);
    setTimeout(() => offer(record, form, box), SHOWN_AFTER_MS - age);
  }
}

async function offer(record, form, box) {
  if (!(await outbox.all()).some((one) => one.id === record.id)) return;
  const button = box.querySelector("button");
  button.addEventListener("click", async () => {
    button.disabled = true;
    const back = await outbox.takeBack(record.id);
    box.remove();
    // It reached the laptop while the finger came down: the page that comes now offers it again.
    if (!back) return;
    form.dispatchEvent(new Event("takenback"));
    form.querySelector("button, summary").focus();
  });
  form.after(box);
  count(box, record.made + OFFERED_MS, () => button.disabled);
}

function count(box, until, busy) {
  const counting = box.querySelector("[data-counting]");
  const left = box.querySelector("[data-left]");
  const tick = () => {
    const seconds = Math.ceil((until - Date.now()) / 1000);
    // It is not taken away from under a finger, nor from whoever came to it by keyboard.
    const held = busy() || box.matches(":focus-within, :active");
    if (seconds <= 0 && !held) box.remove();
    if (!box.isConnected) return clearInterval(timer);
    left.textContent = String(Math.max(0, seconds));
  };
  const timer = setInterval(tick, 250);
  counting.hidden = false;
  tick();
}

function store(act, ...given) {
  try {
    return sessionStorage[act](...given);
  } catch {
    return null; // No store: it counts from when the page came.
  }
}
