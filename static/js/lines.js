// Adds a row to a list of rows where the page is; without this the button asks the laptop for more.
import { bigKeys } from "./keys.js";

export function start(page) {
  for (const list of page.querySelectorAll("[data-lines]")) {
    const rows = list.querySelector("[data-rows]");
    const template = list.querySelector("template");
    // Numbers of the rows already here may have gaps, so new ones start well after them.
    let next = Number(list.dataset.lines) + 100;
    list.querySelector("[data-more]").addEventListener("click", (event) => {
      event.preventDefault();
      const row = template.content.firstElementChild.cloneNode(true);
      number(row, String(next), String(rows.children.length + 1));
      next += 1;
      rows.append(row);
      row.querySelectorAll("[data-keys]").forEach(bigKeys);
      row.querySelector("input, select, textarea").focus();
    });
  }
}

function number(row, index, line) {
  for (const element of [row, ...row.querySelectorAll("*")]) {
    for (const name of ["id", "name", "for", "aria-describedby", "aria-label"]) {
      const value = element.getAttribute(name);
      if (value) element.setAttribute(name, value.replaceAll("__row__", index).replaceAll("__line__", line));
    }
  }
  row.querySelector(".line-number").textContent = line;
}
