// Steps, jars and what is to be known before.

import { el, id } from "./draw.js";
import * as tell from "./tell.js";

const CLASS = { overshoot: "over", shortfall: "short" };

export function steps(view, digits, words) {
  id("steps").replaceChildren(...view.steps.map((step) => {
    const amount = step.status === "done" && step.poured_g !== null ? step.poured_g : step.target_g;
    const how = step.verdict ? words.verdict[step.verdict] : words.status[step.status];
    const attributes = { class: [step.status, CLASS[step.verdict] ?? ""].join(" ").trim(), "aria-current": step.status === "now" && "step" };
    return el("li", attributes,
      el("span", {}, tell.title(step, words), el("span", { class: "sr" }, `, ${how}`)),
      el("span", {}, amount === null ? "" : words.figures.weighed(amount, digits)),
      step.note && el("span", { class: "note" }, step.note),
      ...step.cautions.map((caution) => el("span", { class: "note caution" }, caution)));
  }));
  follow();
}

/** Keeps the running step in sight where the lists have a scroll of their own; the page itself never moves. */
function follow() {
  const side = document.querySelector(".side");
  const step = id("steps").querySelector("[aria-current]");
  if (!step || side.scrollHeight <= side.clientHeight) return;
  side.scrollTop += step.getBoundingClientRect().top - side.getBoundingClientRect().top - side.clientHeight / 3;
}

export function jars(view, digits, words) {
  id("jars-part").hidden = view.jars.length === 0;
  id("jars").replaceChildren(...view.jars.map((jar) => el("li", { "aria-current": jar.shown && "true" },
    el("span", {}, `${jar.on_pan ? "▣ " : "▢ "}${jar.name}${jar.on_pan ? `, ${words.onPan}` : ""}`),
    el("span", {}, `${words.figures.grams(jar.poured_g, digits)} / ${words.figures.weighed(jar.total_g, digits)}, ${words.state[jar.state]}`))));
}

export function concerns(view, words) {
  id("concerns-part").hidden = view.concerns.length === 0;
  id("concerns").replaceChildren(...view.concerns.map((line) => {
    const { text, lang } = tell.concern(line, words);
    return el("li", { lang }, text);
  }));
}
