// Makes elements. Text goes in as text: nothing that anyone wrote is ever read as markup.

export function make(tag, traits = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(traits)) {
    if (value === null || value === undefined || value === false) continue;
    if (name === "class") node.className = value;
    else if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== ""));
  return node;
}

const SVG = "http://www.w3.org/2000/svg";

export function draw(tag, traits = {}, ...children) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(traits)) node.setAttribute(name, value);
  node.append(...children);
  return node;
}

// A picture that the server drew. It is parsed as XML; anything but shapes and words is refused.
const SHAPES = new Set(["svg", "title", "desc", "defs", "pattern", "g", "rect", "line", "path", "circle", "text", "tspan"]);

export function picture(text) {
  const root = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  if (root.namespaceURI !== SVG) return null;
  for (const node of [root, ...root.querySelectorAll("*")]) {
    if (!SHAPES.has(node.localName) || [...node.attributes].some((a) => a.name.startsWith("on") || a.name.includes("href")))
      return null;
  }
  return document.importNode(root, true);
}
