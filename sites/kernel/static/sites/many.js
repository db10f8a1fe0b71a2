// Ticks on many rows. Without this script the boxes work by themselves: a box whose value names
// several rows stands for all of them. Here it shows which, and the bar counts.
"use strict";

(() => {
  const bar = document.getElementById("many");
  if (!bar) return;
  const boxes = [...document.querySelectorAll('input[form="many"][name="rows"], #many input[name="rows"]')];
  const names = (box) => box.value.split(" ").filter(Boolean);
  const rows = new Map(boxes.filter((box) => names(box).length === 1 && !box.hasAttribute("data-ticks")).map((box) => [box.value, box]));
  const groups = boxes.filter((box) => box.hasAttribute("data-ticks"));
  const all = bar.querySelector("[data-all]");
  const said = bar.querySelector("output");
  let last = null;

  function show() {
    for (const group of groups) {
      const own = names(group).map((ref) => rows.get(ref)).filter(Boolean);
      const ticked = own.filter((box) => box.checked).length;
      group.checked = own.length > 0 && ticked === own.length;
      group.indeterminate = ticked > 0 && ticked < own.length;
    }
    const ticked = [...rows.values()].filter((box) => box.checked).length;
    const n = all?.checked ? Number(all.dataset.all) : ticked;
    said.textContent = n === 0 ? "" : n === 1 ? bar.dataset.one : bar.dataset.several.replace("#", n);
    bar.classList.toggle("has-ticks", n > 0);
  }

  // From the row ticked last to this one, with Shift held.
  function tickBetween(box) {
    const order = [...rows.values()];
    const [from, to] = [order.indexOf(last), order.indexOf(box)].sort((a, b) => a - b);
    for (const each of order.slice(from, to + 1)) each.checked = box.checked;
  }

  document.addEventListener("click", (event) => {
    const box = event.target;
    if (!rows.has(box.value) || rows.get(box.value) !== box) return;
    if (event.shiftKey && last && last !== box) tickBetween(box);
    last = box;
    show();
  });

  document.addEventListener("change", (event) => {
    const box = event.target;
    if (groups.includes(box)) {
      for (const ref of names(box)) if (rows.has(ref)) rows.get(ref).checked = box.checked;
    }
    if (box === all && box.checked) for (const each of rows.values()) each.checked = true;
    if (box !== all && all && boxes.includes(box) && !box.checked) all.checked = false;
    show();
  });

  // A browser that goes back keeps the ticks that it had.
  window.addEventListener("pageshow", show);
})();
