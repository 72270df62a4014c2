// “Not before”: counts down by the laptop's clock, also after sleep and reload, and says when the time is over.
import { laptopNow } from "./clock.js";

const TITLE = document.title;

export function start(page) {
  for (const box of page.querySelectorAll("[data-not-before]")) count(box, box.dataset.notBefore);
}

// A wait that begins now, unless it has begun: the same form may be sent again.
export function begin(box, hours) {
  if (!box.hidden) return;
  const until = new Date(laptopNow() + hours * 3600e3);
  box.querySelector("[data-until]").textContent = until.toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
  box.hidden = false;
  count(box, until.toISOString());
}

function count(box, notBefore) {
  const part = (name) => box.querySelector(`[data-${name}]`);
  const key = `siteapp not before ${notBefore}`;
  const ring = part("ring");
  let waited = store("getItem", key);
  let sound = null;

  const tick = () => {
    const seconds = Math.ceil((Date.parse(notBefore) - laptopNow()) / 1000);
    part("pending").hidden = seconds <= 0;
    part("over").hidden = seconds > 0;
    if (seconds > 0) {
      const two = (number) => String(Math.floor(number) % 60).padStart(2, "0");
      part("left").textContent = `${Math.floor(seconds / 3600)}:${two(seconds / 60)}:${two(seconds)}`;
      if (!waited) store("setItem", key, "1");
      waited = true;
    } else if (waited) {
      // Once, and only where somebody saw it count.
      waited = false;
      store("removeItem", key);
      part("alarm").replaceChildren(part("alarm-words").content.cloneNode(true));
      document.title = `${box.dataset.wordsTitle} – ${TITLE}`;
      navigator.vibrate?.([400, 200, 400, 200, 400]);
      beep(sound, 8);
    }
  };
  ring.hidden = !window.AudioContext;
  ring.addEventListener("click", () => {
    // Browsers sound only after a tap, so it is tried out at once.
    sound = new AudioContext();
    beep(sound, 1);
    ring.hidden = true;
    part("ringing").hidden = false;
  });
  setInterval(tick, 1000);
  document.addEventListener("visibilitychange", tick);
  addEventListener("pageshow", tick);
  tick();
}

function beep(sound, times) {
  sound?.resume();
  for (let at = 0; sound && at < times; at += 1) {
    const tone = sound.createOscillator();
    tone.frequency.value = 880;
    tone.connect(sound.destination);
    tone.start(sound.currentTime + at * 0.5);
    tone.stop(sound.currentTime + at * 0.5 + 0.25);
  }
}

function store(act, ...given) {
  try {
    return localStorage[act](...given);
  } catch {
    return null; // No store: it still counts while the page is open.
  }
}
