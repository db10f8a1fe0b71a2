// Ticks on many rows. Without this script the boxes work by themselves: a box whose value names
// several rows stands for all of them. Here it shows which, and the bar counts. Everything is
// looked up when it is needed, because htmx puts another page of rows in place of this one.
"use strict";

(() => {
  const bar = () => document.getElementById("many");
  const boxes = () => [...document.querySelectorAll('input[form="many"][name="rows"], #many input[name="rows"]')];
  const isGroup = (box) => box.hasAttribute("data-ticks");
  const singles = () => boxes().filter((box) => !isGroup(box));
  let last = null;

  function show() {
    if (!bar()) return;
    const rows = new Map(singles().map((box) => [box.value, box]));
    for (const group of boxes().filter(isGroup)) {
      const own = group.value.split(" ").map((ref) => rows.get(ref)).filter(Boolean);
      const ticked = own.filter((box) => box.checked).length;
      group.checked = own.length > 0 && ticked === own.length;
      group.indeterminate = ticked > 0 && ticked < own.length;
    }
    const all = bar().querySelector("[data-all]");
    const ticked = [...rows.values()].filter((box) => box.checked).length;
    const n = all?.checked ? Number(all.dataset.all) : ticked;
    const words = n === 1 ? bar().dataset.one : bar().dataset.several.replace("#", n);
    bar().querySelector("output").textContent = n === 0 ? "" : words;
    bar().classList.toggle("has-ticks", n > 0);
  }

  // With Shift held: from the row that was ticked last to this one.
  document.addEventListener("click", (event) => {
    const order = singles();
    if (!order.includes(event.target)) return;
    if (event.shiftKey && order.includes(last)) {
      const [from, to] = [order.indexOf(last), order.indexOf(event.target)].sort((a, b) => a - b);
      for (const each of order.slice(from, to + 1)) each.checked = event.target.checked;
    }
    last = event.target;
    show();
  });

  document.addEventListener("change", (event) => {
    const box = event.target, all = bar()?.querySelector("[data-all]");
    if (!bar() || (box !== all && !boxes().includes(box))) return;
    const whole = box === all ? singles().map((each) => each.value) : box.value.split(" ");
    if (isGroup(box) || (box === all && box.checked)) {
      for (const each of singles()) if (whole.includes(each.value)) each.checked = box.checked;
    }
    if (all && box !== all && !box.checked) all.checked = false;
    show();
  });

  document.addEventListener("htmx:afterSettle", show);
  // A browser that goes back keeps the ticks that it had.
  window.addEventListener("pageshow", show);
})();
