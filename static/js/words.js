// What scripts say, written on the server in the page's language; numbers and names are filled in here.
const element = document.getElementById("words");
const known = element ? JSON.parse(element.textContent) : {};
const plural = new Intl.PluralRules(document.documentElement.lang || "en");

export function say(key, values = {}) {
  const words = known[key] || "";
  const one = typeof words === "string" ? words : words[plural.select(values.n)] || words.other;
  return one.replace(/\{(\w+)\}/g, (all, name) => (name in values ? String(values[name]) : all));
}

export function clockTime(instant) {
  return new Date(instant).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
}
