// What a held batch asks, and the ways out as cards.

import { el, id, put } from "./draw.js";
import * as tell from "./tell.js";

export function show(view, digits, words, say) {
  const { question } = view;
  id("asked").hidden = !question;
  if (!question) return;
  put(id("question"), tell.question(question, words));
  id("ways").replaceChildren(...question.options.map((way) => el("button", {
    type: "button", class: "way", "aria-disabled": way.feasible ? false : "true",
    onclick: () => { if (way.feasible) say({ command: "answer", option: way.option }); },
  },
  el("strong", {}, `${way.option}. ${tell.way(way, question, view.total_g, words)}`),
  way.pours.length > 0 && el("ul", {}, ...way.pours.map((pour) => el("li", {}, words.pours(pour)))),
  el("span", {}, way.feasible ? words.total(words.figures.weighed(way.total_g, digits)) : tell.whyNot(way, words)))));
}
