// Number fields bring up the phone's big keys; a tap on the unit brings letters and the stroke of `5/8 in` back.
export function start(page) {
  for (const box of page.querySelectorAll("[data-keys]")) bigKeys(box);
}

export function bigKeys(box) {
  const input = box.querySelector("input");
  const unit = box.querySelector(".unit");
  input.inputMode = box.dataset.keys;
  if (!unit || unit.tagName === "BUTTON") return;
  const button = document.createElement("button");
  button.type = "button";
  button.className = "unit";
  button.id = unit.id;
  button.textContent = unit.textContent;
  button.title = box.dataset.wordsKeys;
  button.addEventListener("click", () => {
    input.inputMode = input.inputMode === "text" ? box.dataset.keys : "text";
    input.blur();
    input.focus();
  });
  unit.replaceWith(button);
}
