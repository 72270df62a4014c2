// A choice from the workshop's list: brings what it holds into the form, shows its tin, puts away what need not be typed.
export function start(page) {
  for (const box of page.querySelectorAll("[data-listed]")) watch(box.querySelector("select"), box);
}

function watch(select, box) {
  const { form } = select;
  const chosen = () => select.selectedOptions[0].dataset;
  const show = () => {
    const { about, batch } = chosen();
    for (const tin of form.querySelectorAll("[data-tin]")) tin.hidden = !(tin.open = tin.dataset.tin === about);
    for (const name of form.querySelector("[data-typed]") ? ["product", "batch"] : []) {
      const field = form.elements[name];
      const listed = name === "batch" ? batch !== undefined : about;
      field.closest(".field").hidden = Boolean(listed && !field.value);
    }
  };
  select.addEventListener("change", () => {
    const { brings, about, batch } = chosen();
    if (about && form.querySelector("[data-typed]")) form.elements.product.value = "";
    if (batch !== undefined) form.elements.batch.value = "";
    for (const [name, text] of Object.entries(JSON.parse(brings ?? "{}"))) form.elements[name].value = text;
    show();
    form.dispatchEvent(new Event("input", { bubbles: true }));
  });
  for (const button of box.querySelectorAll("[data-bring]")) button.hidden = true;
  for (const event of ["change", "draft"]) form.addEventListener(event, show);
  addEventListener("pageshow", show);
  show();
}
