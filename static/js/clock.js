// The laptop's time on a phone whose own clock may be wrong; told with each page and each answer to “are you there?”.
let ahead = 0;

export function laptopNow() {
  return Date.now() + ahead;
}

export function phoneIsAhead() {
  return -ahead;
}

export function told(instant) {
  const at = Date.parse(instant);
  if (!Number.isNaN(at)) ahead = at - Date.now();
}

told(document.documentElement.dataset.now);
