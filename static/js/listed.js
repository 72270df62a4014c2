// A choice from the workshop's list: brings what it holds into the form, shows its tin, puts away what need not be typed.
export function start(page) {
  for (const box of page.querySelectorAll("[data-listed]")) watch(box.querySelector("select"), box);
}

function watch(select, box) {
  const { form } = select;
  const each = (name, act) => form.querySelectorAll(`[data-${name}]`).forEach(act);
  const show = () => {
    const { about } = select.selectedOptions[0].dataset;
    each("tin", (tin) => (tin.hidden = !(tin.open = tin.dataset.tin === about)));
  };
  const bring = () => {
    const { brings } = select.selectedOptions[0].dataset;
    for (const [name, text] of Object.entries(JSON.parse(brings ?? "{}"))) form.elements[name].value = text;
    form.dispatchEvent(new Event("input", { bubbles: true }));
  };
  select.addEventListener("change", bring);
  each("bring", (button) => (button.hidden = true));
  for (const event of ["change", "draft"]) form.addEventListener(event, show);
  addEventListener("pageshow", show);
  show();
}
