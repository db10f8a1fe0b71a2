// Draws charts from JSON that the page carries. Plotly is fetched only when a chart comes into
// view: on a phone with poor signal the numbers are there first.
"use strict";

(() => {
  const here = document.currentScript.dataset.plotly;
  const charts = [...document.querySelectorAll("[data-chart]")];
  const begun = new WeakSet();
  // What Letter and A4 in portrait hold between their margins; a wider drawing shrinks the page.
  const PAPER_PX = 660;
  let library;

  // Plotly makes a <style> where no element has this name, which the content security policy
  // forbids: the page's own style sheet takes its rules. Those of its maps, of which there are none
  // here, stand under a hash that a new version may change; the console then says so.
  const STYLES = "plotly.js-style-global";
  const STYLES_OF_MAPS = "9f215cf04c5486422605d13261cb87401f4e7763b6296af81e98efbc0130da53";

  function load() {
    library ??= new Promise((done, failed) => {
      document.querySelector("link[rel=stylesheet]").id = STYLES;
      const noMaps = document.createElement("meta");
      noMaps.id = STYLES_OF_MAPS;
      document.head.append(noMaps);
      const script = document.createElement("script");
      script.src = here;
      script.onload = done;
      script.onerror = failed;
      document.head.append(script);
    });
    return library;
  }

  function look() {
    const style = getComputedStyle(document.documentElement);
    const read = (name) => style.getPropertyValue(name).trim();
    const axis = { gridcolor: read("--hairline-soft"), linecolor: read("--ink-soft"), zerolinecolor: read("--hairline") };
    return {
      paper_bgcolor: "rgba(0,0,0,0)",
      plot_bgcolor: "rgba(0,0,0,0)",
      font: { family: read("--sans"), size: 12.5, color: read("--ink") },
      hoverlabel: { bgcolor: read("--panel"), font: { color: read("--ink") } },
      axis,
    };
  }

  async function draw(box) {
    begun.add(box);
    const figure = JSON.parse(document.getElementById(box.dataset.chart).textContent);
    try {
      await load();
    } catch {
      box.textContent = box.dataset.failed || "The drawing could not be fetched. The table below holds the numbers.";
      return;
    }
    const { axis, ...rest } = look();
    const layout = { ...figure.layout, ...rest };
    layout.xaxis = { ...axis, ...figure.layout.xaxis };
    layout.yaxis = { ...axis, ...figure.layout.yaxis };
    box.replaceChildren();
    window.Plotly.newPlot(box, figure.data, layout, { displayModeBar: false, responsive: true });
    box.dataset.drawn = "yes";
    box.on("plotly_click", ({ points }) => {
      const leads = points[0]?.customdata;
      if (typeof leads === "string") location.assign(leads.startsWith("?") ? location.pathname + leads : leads);
    });
  }

  const seen = new IntersectionObserver((entries) => {
    for (const entry of entries) {
      if (entry.isIntersecting) {
        seen.unobserve(entry.target);
        draw(entry.target);
      }
    }
  }, { rootMargin: "200px" });
  charts.forEach((box) => seen.observe(box));
  // Paper shows what is drawn and the numbers behind each picture; nothing can be fetched by then.
  // A desk draws what is out of sight when it has nothing else to do, so that it prints; a phone,
  // or a line on which data are saved, does not fetch for paper.
  const isDesk = matchMedia("(min-width: 62rem)").matches && !navigator.connection?.saveData;
  const whenIdle = window.requestIdleCallback ?? ((work) => setTimeout(work, 1500));
  if (isDesk) window.addEventListener("load", () => whenIdle(() => {
    for (const box of charts) if (!begun.has(box)) { seen.unobserve(box); draw(box); }
  }));
  window.addEventListener("beforeprint", () => {
    for (const table of document.querySelectorAll(".chart ~ details, .chart-table")) table.open = true;
    if (!window.Plotly) return;
    for (const box of charts) {
      if (!box.dataset.drawn) draw(box);
      else if (box.clientWidth > PAPER_PX) window.Plotly.relayout(box, { width: PAPER_PX });
    }
  });
  window.addEventListener("afterprint", () => {
    for (const box of charts) if (box.dataset.drawn) window.Plotly.relayout(box, { width: undefined, autosize: true });
  });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => charts.forEach((box) => box.dataset.drawn && draw(box)));
})();
