// Shows chosen photos small, lets one be taken out, and keeps earlier ones when the camera adds another.
export function start(page) {
  for (const box of page.querySelectorAll("[data-photos]")) watch(box, box.querySelector("input[type=file]"));
}

function watch(box, input) {
  const list = document.createElement("ul");
  list.className = "previews";
  const count = document.createElement("p");
  count.className = "quiet";
  count.setAttribute("role", "status");
  input.closest("label").after(list, count);
  let chosen = [];

  const show = () => {
    for (const image of list.querySelectorAll("img")) URL.revokeObjectURL(image.src);
    list.replaceChildren(...chosen.map(entry));
    count.textContent = chosen.length ? `${chosen.length} ${box.dataset.wordsCount}` : "";
    input.dispatchEvent(new Event("photos", { bubbles: true }));
  };
  const entry = (file, index) => {
    const item = document.createElement("li");
    const image = document.createElement("img");
    image.alt = "";
    image.src = URL.createObjectURL(file);
    const button = document.createElement("button");
    button.type = "button";
    button.className = "link";
    button.textContent = box.dataset.wordsRemove;
    button.setAttribute("aria-label", `${box.dataset.wordsRemove}: ${file.name}`);
    button.addEventListener("click", () => {
      chosen = chosen.filter((_file, other) => other !== index);
      put();
      input.focus();
    });
    item.append(image, button);
    return item;
  };
  const put = () => {
    const transfer = new DataTransfer();
    for (const file of chosen) transfer.items.add(file);
    input.files = transfer.files;
    show();
  };

  input.addEventListener("change", () => {
    const fresh = [...input.files];
    const face = (file) => `${file.name} ${file.size} ${file.lastModified}`;
    const same = (one) => chosen.some((two) => face(one) === face(two));
    chosen = input.multiple ? [...chosen, ...fresh.filter((file) => !same(file))] : fresh;
    put();
  });
  const look = () => {
    chosen = [...input.files];
    show();
  };
  // The browser may have kept the choice over a reload; a draft brings it back; a form made empty has none.
  look();
  input.form.addEventListener("draft", look);
  input.form.addEventListener("reset", () => setTimeout(look));
}
