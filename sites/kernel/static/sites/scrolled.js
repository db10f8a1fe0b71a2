// A table that is wider than its window scrolls; who has no pointer reaches it by Tab then.
"use strict";
(() => {
  const made = new WeakSet();
  function look() {
    for (const each of document.querySelectorAll(".table-scroll")) {
      if (each.hasAttribute("tabindex") && !made.has(each)) continue; // the page says so itself
      made.add(each);
      if (each.scrollWidth > each.clientWidth + 1) each.tabIndex = 0;
      else each.removeAttribute("tabindex");
    }
  }
  // The window, or what lies in it, got another width.
  const again = new ResizeObserver(look);
  function watch() {
    again.disconnect();
    for (const each of document.querySelectorAll(".table-scroll, .table-scroll > *")) again.observe(each);
  }
  watch();
  document.addEventListener("htmx:afterSettle", watch);
})();
