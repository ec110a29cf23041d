// Making and changing elements.

const SVG = "http://www.w3.org/2000/svg";

export const id = (name) => document.getElementById(name);

/** What there is of several texts, in one line. */
export const dots = (...texts) => texts.filter(Boolean).join(" · ");

export function el(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  fill(made, attributes, children);
  return made;
}

export function svg(name, attributes = {}, ...children) {
  const made = document.createElementNS(SVG, name);
  fill(made, attributes, children);
  return made;
}

function fill(made, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) {
    if (key === "onclick") made.addEventListener("click", value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== undefined && value !== null) made.setAttribute(key, value);
  }
  made.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
}

/** Sets a text only where it changed: a reader of screens says what changes. `lang` where it is not the page's own. */
export function put(element, text, lang) {
  if (element.textContent === text && element.lang === (lang ?? "")) return;
  if (lang) element.lang = lang;
  else element.removeAttribute("lang");
  element.textContent = text;
}
