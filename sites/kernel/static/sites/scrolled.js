// A table that is wider than its window scrolls; who has no pointer reaches it by Tab then.
"use strict";
(() => {
  function look() {
    for (const each of document.querySelectorAll(".table-scroll")) {
      if (each.scrollWidth > each.clientWidth + 1) each.tabIndex = 0;
      else each.removeAttribute("tabindex");
    }
  }
  const again = new ResizeObserver(look);
  function watch() {
    again.disconnect();
    for (const each of document.querySelectorAll(".table-scroll")) again.observe(each);
  }
  watch();
  document.addEventListener("htmx:afterSettle", watch);
})();
