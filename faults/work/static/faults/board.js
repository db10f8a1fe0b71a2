// Pick a job up and put it down: by pointer or by keys. Posts to the form's own address, with the
// page's stamp, so that the server refuses rows that another user has changed meanwhile.
(() => {
  "use strict";

  const said = document.getElementById("board-said");
  const refused = document.getElementById("board-refused");
  let picked = null;
  let at = null;
  let turning = 0;
  // So long a card is held over the way to another week before it opens.
  const HELD_MS = 600;

  const board = () => document.getElementById("board");
  const words = (name, value) => (board().dataset[name] || "%s").replace("%s", value || "");
  const say = (text) => { said.textContent = text; };
  const places = () => [
    [...board().querySelectorAll("section[data-drop]")],
    ...[...board().querySelectorAll("table.board tbody tr")].map((row) => [...row.querySelectorAll("td[data-drop]")]),
  ];

  function mark(place) {
    board().querySelectorAll(".is-target").forEach((each) => each.classList.remove("is-target"));
    if (place) place.classList.add("is-target");
  }

  function pickUp(card) {
    picked = card;
    card.classList.add("is-picked");
    const here = card.closest("[data-drop]");
    const rows = places();
    const row = rows.findIndex((each) => each.includes(here));
    at = { row, column: rows[row].indexOf(here) };
    mark(here);
    say(words("picked", card.dataset.job));
  }

  function leave(text) {
    if (picked) picked.classList.remove("is-picked");
    picked = null;
    mark(null);
    if (text) say(text);
  }

  function step(rows, columns) {
    const all = places();
    const row = Math.min(Math.max(at.row + rows, 0), all.length - 1);
    const column = Math.min(Math.max(at.column + columns, 0), all[row].length - 1);
    at = { row, column };
    const place = all[row][column];
    mark(place);
    place.scrollIntoView({ block: "nearest", inline: "nearest" });
    say(words("there", place.dataset.where));
  }

  function renew(page) {
    const fresh = page.getElementById("board");
    if (!fresh) return;
    board().replaceWith(document.importNode(fresh, true));
    enhance();
  }

  /** Go to the week or day of a link with what is picked up. */
  async function turn(link) {
    try {
      const page = await read(await fetch(link.href));
      if (!picked) return;
      renew(page);
      for (const part of [".board-tools", ".title"]) {
        document.querySelector(part).replaceWith(document.importNode(page.querySelector(part), true));
      }
      document.title = page.title;
      history.replaceState(null, "", link.href);
      if (at) step(0, 0);
    } catch {
      say(words("failed"));
    }
  }

  async function read(response) {
    return new DOMParser().parseFromString(await response.text(), "text/html");
  }

  function showRefusal(page, url) {
    const found = [...page.querySelectorAll(".problem, .errorlist")].map((each) => each.textContent.replace(/\s+/g, " ").trim());
    refused.replaceChildren(...[...page.querySelector("main").children].filter((each) => !each.matches(".crumbs")).map((each) => document.importNode(each, true)));
    refused.querySelectorAll("h1").forEach((each) => {
      const smaller = document.createElement("h2");
      smaller.textContent = each.textContent;
      each.replaceWith(smaller);
    });
    const form = refused.querySelector("form");
    if (form) form.action = url;
    refused.hidden = false;
    refused.focus();
    say(words("refused", found[0] || ""));
  }

  function tell(page, id) {
    const message = page.querySelector(".messages li"); // with what is still open before it can go
    message?.querySelector(".undo")?.remove(); // said without its link
    const card = document.getElementById(id);
    const clashes = card ? card.querySelectorAll(".card-clashes li") : [];
    const text = message ? message.textContent.trim() : "";
    say(clashes.length ? `${text} ${words("clash", [...clashes].map((each) => each.textContent).join(" "))}` : text);
    if (card) (card.querySelector("[data-pick-up]") || card).focus();
  }

  async function putDown(card, place) {
    const id = card.id;
    const url = card.dataset.move;
    if (place === card.closest("[data-drop]")) { leave(words("left")); return; }
    if (!place.dataset.crew) { window.location.assign(`${url}&tray=1`); return; }
    const body = new FormData();
    body.append("csrfmiddlewaretoken", board().dataset.csrf);
    body.append("stamp", card.dataset.stamp);
    body.append("crew", place.dataset.crew);
    body.append("day", place.dataset.day);
    body.append("starts_at", card.dataset.start);
    body.append("why", "");
    leave("");
    try {
      const response = await fetch(url, { method: "POST", body });
      const page = await read(response);
      if (response.ok) {
        refused.hidden = true;
        renew(page);
        tell(page, id);
      } else if (response.status === 422) {
        showRefusal(page, url);
        renew(await read(await fetch(window.location.href)));
      } else {
        say(words("failed"));
      }
    } catch {
      say(words("failed"));
    }
  }

  function onKey(event) {
    if (!picked) return;
    const steps = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] };
    if (steps[event.key]) {
      event.preventDefault();
      step(...steps[event.key]);
    } else if (event.key === "PageDown" || event.key === "PageUp") {
      event.preventDefault();
      turn(document.querySelector(event.key === "PageDown" ? "[data-later]" : "[data-earlier]"));
    } else if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      putDown(picked, places()[at.row][at.column]);
    } else if (event.key === "Escape" || event.key === "Tab") {
      leave(words("left"));
    }
  }

  function enhance() {
    board().querySelectorAll("[data-move]").forEach((card) => {
      card.draggable = true;
      const button = document.createElement("button");
      button.type = "button";
      button.className = "plain";
      button.dataset.pickUp = "";
      button.textContent = words("pick");
      const name = document.createElement("span");
      name.className = "visually-hidden";
      name.textContent = ` ${card.dataset.job}`;
      button.append(name);
      button.addEventListener("click", () => { if (!picked) pickUp(card); });
      card.querySelector(".card-verbs").prepend(button);
      card.addEventListener("dragstart", (event) => {
        event.dataTransfer.setData("text/plain", card.id);
        event.dataTransfer.effectAllowed = "move";
        picked = card;
        card.classList.add("is-picked");
      });
      card.addEventListener("dragend", () => leave(""));
    });
    board().querySelectorAll("[data-drop]").forEach((place) => {
      place.addEventListener("dragover", (event) => {
        if (!picked) return;
        event.preventDefault();
        mark(place);
      });
      place.addEventListener("drop", (event) => {
        event.preventDefault();
        if (picked) putDown(picked, place);
      });
    });
    const how = document.querySelector(".board-how");
    if (how) how.hidden = false;
  }

  document.addEventListener("keydown", onKey);
  // A card that is held over the way to another week opens it; it is put down there.
  document.addEventListener("dragover", (event) => {
    const link = picked && event.target.closest?.("[data-later], [data-earlier]");
    if (!link) { clearTimeout(turning); turning = 0; return; }
    event.preventDefault();
    turning ||= setTimeout(() => { turning = 0; turn(link); }, HELD_MS);
  });
  if (board()) enhance();
})();
