// Elements without markup: whatever was spoken or typed becomes text and nothing else.

/** Make an element. `parts` are elements and texts; null ones are left out. */
export function make(tag, attributes = {}, ...parts) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "class") element.className = value;
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...parts.flat().filter((part) => part !== null && part !== undefined));
  return element;
}

/** The element with an id. */
export const byId = (id) => document.getElementById(id);

/** Fill an element anew. */
export function fill(element, ...parts) {
  element.replaceChildren(...parts.flat().filter((part) => part !== null && part !== undefined));
}

const SVG = "http://www.w3.org/2000/svg";

/** Make a drawing of its description: {tag, attributes, text, parts}. */
export function draw(described) {
  const element = document.createElementNS(SVG, described.tag);
  for (const [name, value] of Object.entries(described.attributes)) {
    if (name !== "xmlns") element.setAttribute(name, value);
  }
  if (described.text) element.append(described.text);
  element.append(...described.parts.map(draw));
  return element;
}

/** A place in the recording as people read it. */
export function clock(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  const minutes = Math.floor(whole / 60) % 60;
  const rest = String(whole % 60).padStart(2, "0");
  const hours = Math.floor(whole / 3600);
  return hours ? `${hours}:${String(minutes).padStart(2, "0")}:${rest}` : `${minutes}:${rest}`;
}

/** Let the browser draw and hear keys between two pieces of work. */
export const pause = () => new Promise((go) => setTimeout(go, 0));
