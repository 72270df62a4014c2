// Starts each helper where the page has use for it: a page works without any of them, and one that fails stops no other.
const HELPERS = {
  form: "[data-saving]",
  keys: "[data-keys]",
  lines: "[data-lines]",
  photos: "[data-photos]",
  signature: "[data-signature]",
  hold: "[data-hold]",
  away: "[data-away]",
  wait: "[data-not-before]",
  waiting: "main [data-waiting-list]",
};

for (const [name, where] of Object.entries(HELPERS)) {
  if (!document.querySelector(where)) continue;
  import(`./${name}.js`)
    .then((module) => module.start(document))
    .catch((error) => console.error(`siteapp: ${name} did not start`, error));
}
