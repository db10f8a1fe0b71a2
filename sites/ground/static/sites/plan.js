/* Pan and zoom a drawing through its viewBox; choose places on a picture.
   Without this script a drawing scrolls, and places are typed as numbers. */
(() => {
  "use strict";
  if (window.rejoinPlans) { window.rejoinPlans(document); return; }

  const DEEPEST = 80;
  const DRAG_PX = 5;
  const NEAR = [0, 4, -4, 8, -8];
  const clamp = (value, low, high) => Math.min(Math.max(value, low), Math.max(low, high));

  function start(frame) {
    const svg = frame.querySelector("svg");
    const page = svg.viewBox.baseVal;
    const whole = { w: page.width, h: page.height };
    const view = { x: 0, y: 0, w: whole.w, h: whole.h };
    const picks = "pick" in frame.dataset ? markers() : null;
    const down = new Map();
    let moved = 0;
    let startedOn = null;
    let start0 = null;

    frame.classList.add("plan-live");
    frame.querySelector(".plan-tools").hidden = false;
    fit();

    function size() { return { w: svg.clientWidth || 1, h: svg.clientHeight || 1 }; }
    function widest() {
      const box = size();
      return frame.dataset.plan === "width" ? whole.w : Math.max(whole.w, (whole.h * box.w) / box.h);
    }
    function show() {
      // As tall as the drawing needs at this width, and never more than most of the screen.
      const tall = (svg.clientWidth * whole.h) / whole.w;
      svg.style.setProperty("--tall", `${Math.max(tall, 320)}px`);
      const box = size();
      view.w = clamp(view.w, whole.w / DEEPEST, widest());
      view.h = (view.w * box.h) / box.w;
      // A drawing smaller than the frame stays in its middle; a larger one covers it.
      view.x = view.w >= whole.w ? (whole.w - view.w) / 2 : clamp(view.x, 0, whole.w - view.w);
      view.y = view.h >= whole.h ? Math.min(0, (whole.h - view.h) / 2) : clamp(view.y, 0, whole.h - view.h);
      if (frame.dataset.plan === "width" && view.h >= whole.h) view.y = 0;
      svg.setAttribute("viewBox", `${view.x} ${view.y} ${view.w} ${view.h}`);
      // Letters and marks keep their size on the screen whatever the zoom.
      svg.style.setProperty("--px", String(view.w / box.w));
      frame.classList.toggle("plan-near", view.w < widest() * 0.99);
    }
    function fit() { view.x = view.y = 0; view.w = widest(); show(); }
    function zoom(by, at) {
      const box = size();
      const where = at || { x: box.w / 2, y: box.h / 2 };
      const w = clamp(view.w / by, whole.w / DEEPEST, widest());
      view.x += ((view.w - w) * where.x) / box.w;
      view.y += ((view.h - (w * box.h) / box.w) * where.y) / box.h;
      view.w = w;
      show();
    }
    function pan(dx, dy) {
      const per = view.w / size().w;
      view.x += dx * per;
      view.y += dy * per;
      show();
    }
    function inside(event) {
      const box = svg.getBoundingClientRect();
      return { x: event.clientX - box.left, y: event.clientY - box.top };
    }
    function ground(at) {
      const box = size();
      return { x: view.x + (at.x * view.w) / box.w, y: view.y + (at.y * view.h) / box.h };
    }

    const acts = {
      in: () => zoom(1.5), out: () => zoom(1 / 1.5), all: fit,
      left: () => pan(-80, 0), right: () => pan(80, 0), up: () => pan(0, -80), down: () => pan(0, 80),
    };
    const keys = {
      "+": "in", "=": "in", "-": "out", "_": "out", 0: "all",
      ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down",
    };

    frame.querySelector(".plan-tools").addEventListener("click", (event) => {
      const button = event.target.closest("[data-do]");
      if (button) acts[button.dataset.do]();
    });
    frame.addEventListener("keydown", (event) => {
      if (event.target !== frame || event.ctrlKey || event.metaKey || event.altKey) return;
      const act = keys[event.key];
      if (!act) return;
      event.preventDefault();
      if (picks && event.key.startsWith("Arrow")) picks.nudge(event.key, event.shiftKey);
      else acts[act]();
    });
    svg.addEventListener("wheel", (event) => {
      // The page scrolls on past a drawing that nobody has chosen.
      if (!event.ctrlKey && !frame.contains(document.activeElement)) return;
      event.preventDefault();
      zoom(Math.exp(-clamp(event.deltaY, -60, 60) / 120), inside(event));
    }, { passive: false });

    svg.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      down.set(event.pointerId, inside(event));
      if (down.size === 1) { moved = 0; startedOn = event.target; start0 = inside(event); }
    });
    svg.addEventListener("pointermove", (event) => {
      const before = down.get(event.pointerId);
      if (!before) return;
      const now = inside(event);
      if (down.size === 1) {
        moved = Math.max(moved, Math.hypot(now.x - start0.x, now.y - start0.y));
        if (moved < DRAG_PX) return;
        svg.setPointerCapture(event.pointerId);
        pan(before.x - now.x, before.y - now.y);
      } else {
        const other = [...down].find(([id]) => id !== event.pointerId)[1];
        const apart = (a) => Math.hypot(a.x - other.x, a.y - other.y) || 1;
        zoom(apart(now) / apart(before), { x: (now.x + other.x) / 2, y: (now.y + other.y) / 2 });
        moved = DRAG_PX;
      }
      down.set(event.pointerId, now);
    });
    const up = (event) => {
      const was = down.delete(event.pointerId);
      if (!was || down.size || event.type !== "pointerup" || moved >= DRAG_PX) return;
      if (picks) picks.put(ground(inside(event)));
      else if (!startedOn.closest("a")) follow(event);
    };
    svg.addEventListener("pointerup", up);
    svg.addEventListener("pointercancel", up);
    svg.addEventListener("dragstart", (event) => event.preventDefault());
    svg.addEventListener("click", (event) => {
      if (moved >= DRAG_PX) event.preventDefault();
    }, true);

    /* Lines are thin: a click beside one opens the nearest. */
    function follow(event) {
      for (const dx of NEAR) for (const dy of NEAR) {
        const found = document.elementFromPoint(event.clientX + dx, event.clientY + dy);
        const link = found && svg.contains(found) && found.closest("a");
        if (link) { location.assign(link.getAttribute("href")); return; }
      }
    }

    function markers() {
      const all = [...svg.querySelectorAll(".marker")].map((mark) => ({
        mark, x: document.getElementById(mark.dataset.x), y: document.getElementById(mark.dataset.y),
      }));
      let active = all.find((each) => !each.x.value) || all[0];
      for (const each of all) {
        for (const field of [each.x, each.y]) {
          field.addEventListener("input", () => draw(each));
          field.addEventListener("focus", () => choose(each));
        }
        draw(each);
      }
      choose(active);
      function choose(each) {
        active = each;
        for (const other of all) other.mark.classList.toggle("active", other === each);
      }
      function draw(each) {
        const known = each.x.value !== "" && each.y.value !== "";
        each.mark.toggleAttribute("hidden", !known);
        if (known) each.mark.setAttribute("transform", `translate(${each.x.value} ${each.y.value})`);
      }
      function set(each, at) {
        each.x.value = String(Math.round(clamp(at.x, 0, whole.w) * 10) / 10);
        each.y.value = String(Math.round(clamp(at.y, 0, whole.h) * 10) / 10);
        draw(each);
      }
      return {
        put(at) {
          if (at.x < 0 || at.y < 0 || at.x > whole.w || at.y > whole.h) return;
          set(active, at);
          const next = all.find((each) => each.x.value === "");
          if (next) choose(next);
        },
        nudge(key, isFar) {
          const step = (view.w / size().w) * (isFar ? 20 : 2);
          const known = active.x.value !== "";
          const from = known
            ? { x: Number(active.x.value), y: Number(active.y.value) }
            : { x: view.x + view.w / 2, y: view.y + view.h / 2 };
          const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[key];
          set(active, { x: from.x + by[0] * step, y: from.y + by[1] * step });
        },
      };
    }

    new ResizeObserver(() => show()).observe(svg);
    window.addEventListener("beforeprint", fit);
  }

  /* A station in the grid and its valve on the plan beside it show each other. */
  function light(event) {
    for (const lit of document.querySelectorAll(".lit")) lit.classList.remove("lit");
    const here = event.target.closest("[data-at]");
    for (const ref of here ? here.dataset.at.split(" ") : []) {
      for (const each of document.querySelectorAll(`[data-at~="${ref}"]`)) each.classList.add("lit");
    }
  }
  document.addEventListener("pointerover", light);
  document.addEventListener("focusin", light);

  window.rejoinPlans = (root) => {
    for (const frame of root.querySelectorAll(".plan-frame[data-plan]:not(.plan-live)")) start(frame);
  };
  window.rejoinPlans(document);
})();
