// Make elements. Text is set as text, never as markup.

const SVG = "http://www.w3.org/2000/svg";
const SVG_TAGS = new Set(["svg", "g", "path", "rect", "line", "circle", "text", "title", "defs", "pattern"]);

/**
 * @param {string} tag
 * @param {Record<string, any>} [props] attributes; a function listens; false and null are left out
 * @param {...any} inside elements, texts, arrays of them
 */
export function h(tag, props = {}, ...inside) {
  const made = SVG_TAGS.has(tag) ? document.createElementNS(SVG, tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (value === false || value === null || value === undefined) continue;
    if (typeof value === "function") made.addEventListener(name, value);
    else if (name === "value" && "value" in made) made.value = value;
    else made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...inside.flat(Infinity).filter((each) => each !== null && each !== undefined && each !== false && each !== ""));
  return made;
}

/** Put values into words: `%s`, or `%(name)s` for each of several. */
export function fill(words, value) {
  if (value !== null && typeof value === "object") {
    return words.replace(/%\((\w+)\)s/g, (_whole, name) => value[name]);
  }
  return words.replace("%s", () => String(value)).replaceAll("%%", "%");
}

/** A part whose module is not needed for the first view: it takes its place when it is there. */
export function later(module, draw) {
  const place = h("div", { class: "later" });
  module.then((made) => place.replaceChildren(...[draw(made)].flat(Infinity).filter(Boolean)), () => place.remove());
  return place;
}
