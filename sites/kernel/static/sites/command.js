// The command search: a dialog with a box and a list, by the keyboard alone (the combobox with a
// listbox of WAI-ARIA's authoring practices). Without it the same form leads to a plain page.
"use strict";
(() => {
  const dialog = document.getElementById("command");
  if (!dialog) return;
  const box = dialog.querySelector("[role=combobox]");
  const list = dialog.querySelector("[role=listbox]");
  const status = dialog.querySelector("[role=status]");
  const slash = dialog.querySelector("input[type=checkbox]");
  const KEPT = "slash_opens_search";
  let asked = 0;
  let timer = 0;
  let answered = null;

  const options = () => [...list.querySelectorAll("[role=option]")];
  const chosen = () => list.querySelector("[aria-selected=true]");

  function choose(option) {
    chosen()?.setAttribute("aria-selected", "false");
    if (!option) return box.removeAttribute("aria-activedescendant");
    option.setAttribute("aria-selected", "true");
    box.setAttribute("aria-activedescendant", option.id);
    option.scrollIntoView({ block: "nearest" });
  }

  // An answer that comes after a later question is dropped.
  async function ask() {
    clearTimeout(timer);
    const number = ++asked;
    const given = box.value;
    const words = new URLSearchParams({ q: given, from: location.pathname });
    let text = "";
    try {
      const answer = await fetch(`${dialog.dataset.options}?${words}`, { credentials: "same-origin" });
      if (!answer.ok || answer.redirected) return;
      text = await answer.text();
    } catch { return; }
    if (number !== asked) return;
    answered = given;
    list.innerHTML = text;
    box.setAttribute("aria-expanded", String(options().length > 0));
    choose(options()[0]);
    status.textContent = list.firstElementChild?.dataset.said ?? "";
  }

  function open() {
    if (dialog.open) return;
    dialog.showModal();
    box.select();
    ask();
  }

  function go(option, aside) {
    if (!option) return;
    if (aside) window.open(option.dataset.href, "_blank", "noopener");
    else location.assign(option.dataset.href);
  }

  function step(by) {
    const all = options();
    const at = all.indexOf(chosen());
    choose(all[(at + by + all.length) % all.length]);
  }

  // Who types fast is ahead of the list: it is asked first, so that the words win.
  async function enter(aside) {
    if (answered !== box.value) await ask();
    if (chosen()) go(chosen(), aside);
    else box.form.submit();
  }

  box.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, 150);
  });
  box.addEventListener("keydown", (event) => {
    if (event.isComposing) return;
    const moves = { ArrowDown: () => step(1), ArrowUp: () => step(-1) };
    if (event.key in moves && options().length) {
      moves[event.key]();
      event.preventDefault();
    } else if (event.key === "Enter") {
      event.preventDefault();
      enter(event.ctrlKey || event.metaKey);
    }
  });
  list.addEventListener("click", (event) => {
    go(event.target.closest("[role=option]"), event.ctrlKey || event.metaKey);
  });
  dialog.querySelector("button").addEventListener("click", () => dialog.close());
  dialog.addEventListener("click", (event) => { if (event.target === dialog) dialog.close(); });

  // A key alone can be struck by accident or by dictation, so that it can be switched off.
  slash.checked = !document.cookie.includes(`${KEPT}=no`);
  slash.addEventListener("change", () => {
    document.cookie = `${KEPT}=${slash.checked ? "yes" : "no"}; path=/; max-age=31536000; samesite=lax`;
  });

  // On a narrow screen the line of neighbouring pages shows the open one.
  const here = document.querySelector(".beside [aria-current]");
  if (here) here.parentElement.scrollLeft = here.offsetLeft - 48;

  const page = document.getElementById("search-text");
  const start = () => (page ? (page.focus(), page.select()) : open());
  document.addEventListener("keydown", (event) => {
    const typing = event.target.closest?.("input, textarea, select, [contenteditable]");
    const byLetter = (event.ctrlKey || event.metaKey) && !event.altKey && event.key.toLowerCase() === "k";
    const bySlash = event.key === "/" && !typing && slash.checked && !event.ctrlKey && !event.metaKey;
    if (!byLetter && !bySlash) return;
    event.preventDefault();
    start();
  });
  for (const button of document.querySelectorAll("[data-command]")) {
    button.setAttribute("aria-haspopup", "dialog");
    button.addEventListener("click", (event) => {
      event.preventDefault();
      open();
    });
  }
})();
