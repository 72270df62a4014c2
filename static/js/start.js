// Starts each helper where the page has use for it. A page works without any of them, and one that fails stops no other.
const PAUSES_MS = [1000, 2000, 5000, 10000, 20000, 30000];
const HELPERS = {
  form: "[data-saving]",
  keys: "[data-keys]",
  lines: "[data-lines]",
  photos: "[data-photos]",
  marks: "[data-marks]",
  signature: "[data-signature]",
  hold: "[data-hold]",
  undo: "form[data-undo]",
  away: "[data-away]",
  wait: "[data-not-before]",
  cure: "[data-cure]",
  find: "[data-find]",
  plan: "[data-plan]",
  asked: "[data-asked]",
  holes: "[data-holes-plan]",
  "build-up": "[data-build-up]",
  waiting: "main [data-waiting-list]",
  taking: "[data-waiting-file]",
};

for (const [name, where] of Object.entries(HELPERS)) {
  if (document.querySelector(where)) begin(name);
}

async function begin(name, tries = 0) {
  try {
    const module = await import(`./${name}.js${tries ? `?again=${tries}` : ""}`);
    module.start(document);
    if (name === "form") removeEventListener("submit", hold, true);
  } catch (error) {
    console.error(`siteapp: ${name} did not start`, error);
    // A fetch that failed on the air may come next time; some browsers remember it under its address.
    if (tries < PAUSES_MS.length) setTimeout(() => begin(name, tries + 1), PAUSES_MS[tries]);
  }
}

// Until forms are looked after, none is sent as a page load, which would lose it where the laptop is out of reach.
function hold(event) {
  if (event.target.dataset.keep !== "wait") return;
  event.preventDefault();
  const line = document.querySelector("[data-saving]");
  line.textContent = line.dataset.wordsUnready;
}

if (document.querySelector(HELPERS.form)) addEventListener("submit", hold, true);
