// The ratio now against the recipe: two bars of the same length, one above the other.

import { el, id, svg } from "./draw.js";

/** Fills that differ without colour, repeated when there are more ingredients. */
const FILLS = ["#0b6e69", "#b4531a", "#6a5a9b", "#7d6a00", "#3f7a3a", "#8c3b62", "#3a6590"];
/** How wide the bars are before the page knows, in pixels. */
const USUAL = 400;

/** Adds up what each ingredient should have and has; what a rescue added belongs to its ingredient. */
function sums(steps) {
  const all = new Map();
  for (const step of steps) {
    if (!(step.target_g > 0) && !(step.poured_g > 0)) continue;
    const name = step.action?.ingredient ?? step.title;
    const sum = all.get(name) ?? { planned: 0, poured: 0 };
    sum.planned += step.target_g ?? 0;
    sum.poured += step.poured_g ?? 0;
    all.set(name, sum);
  }
  return [...all].map(([name, sum], place) => ({ name, ...sum, fill: FILLS[place % FILLS.length] }));
}

/** Draws both; `now` is what the running step has received, by its number. */
export function show(steps, now, words) {
  const live = steps.map((step) => (step.step === now?.step ? { ...step, poured_g: now.net_g } : step));
  const parts = sums(live);
  const planned = parts.reduce((sum, part) => sum + part.planned, 0);
  const poured = parts.reduce((sum, part) => sum + Math.max(0, part.poured), 0);
  const whole = Math.max(planned, poured) || 1;
  // In percent of the room there is, and letters in pixels: none is squeezed, however wide that is.
  const shown = id("ratio").clientWidth || USUAL;
  const bar = (y, key) => {
    let x = 0;
    return parts.map((part, place) => {
      const width = (100 * Math.max(0, part[key])) / whole;
      const made = svg("g", {}, svg("rect", { x: `${x}%`, y: `${y}em`, width: `${width}%`, height: "1.7em", fill: part.fill, stroke: "var(--card)" }));
      if (width * shown > 2400) made.append(svg("text", { x: `${x}%`, dx: 4, y: `${y + 1.2}em`, class: "letter" }, letter(place)));
      x += width;
      return made;
    });
  };
  const share = (value, all) => (all > 0 ? words.share(Math.max(0, value) / all) : "–");
  const rows = parts.map((part, place) => el("tr", {},
    el("th", { scope: "row" }, `${letter(place)} ${part.name}`),
    el("td", {}, share(part.planned, planned)), el("td", {}, share(part.poured, poured))));
  id("ratio").replaceChildren(
    svg("svg", { "aria-hidden": "true" },
      svg("text", { x: 0, y: ".9em" }, words.asPlanned), ...bar(1.25, "planned"),
      svg("text", { x: 0, y: "4.1em" }, words.asPoured), ...bar(4.45, "poured")),
    el("table", {}, el("tbody", {}, el("tr", {}, el("td", {}), el("th", { scope: "col" }, words.asPlanned), el("th", { scope: "col" }, words.asPoured)), ...rows)));
}

const letter = (place) => String.fromCharCode(65 + (place % 26));
