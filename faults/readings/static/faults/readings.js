// A number pad beside a value, and Enter that goes to the next station of a check-up.
"use strict";

for (const pad of document.querySelectorAll("[data-keys]")) {
  const box = document.getElementById(pad.dataset.keys);
  pad.hidden = false;
  pad.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]")?.dataset.key;
    if (!key) return;
    if (key === "back") box.value = box.value.slice(0, -1);
    else if (key === "OL") box.value = "OL";
    else box.value += key;
  });
}

const table = document.querySelector(".check-up");
table?.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.target.tagName !== "INPUT") return;
  event.preventDefault();
  const column = event.target.name.split("_")[0];
  const boxes = [...table.querySelectorAll(`input[name^="${column}_"]`)];
  boxes[boxes.indexOf(event.target) + 1]?.focus();
});

const printButton = document.querySelector("[data-print]");
if (printButton) {
  printButton.hidden = false;
  printButton.addEventListener("click", () => window.print());
}
