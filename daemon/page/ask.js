// What a held batch asks, and the ways out as cards.

import { el, id } from "./draw.js";
import * as tell from "./tell.js";

export function show(view, words, say) {
  const { question } = view;
  // The question itself is said where everything is said that is to be done.
  document.body.classList.toggle("asks", Boolean(question));
  id("asked").setAttribute("aria-label", words.waysOut);
  id("asked").hidden = !question?.options.length;
  if (!question) return;
  id("ways").replaceChildren(...question.options.map((way) => el("button", {
    type: "button", class: "way", "aria-disabled": way.feasible ? false : "true",
    onclick: () => { if (way.feasible) say({ command: "answer", option: way.option }); },
  },
  ...card(way, question, view, words),
  !way.feasible && el("span", {}, tell.whyNot(way, words)))));
}

/** What comes of it, and below that, in the order in which it is done, what to do: each once, large enough for two metres. */
function card(way, question, view, words) {
  const { before, behind, ends } = tell.card(way, question, view.total_g, words);
  return [el("strong", {}, `${way.option}. ${ends}`), before && el("span", {}, before),
    way.pours.length > 0 && el("ul", {}, ...way.pours.map((pour) => el("li", {}, words.pours(pour)))), behind && el("span", {}, behind)];
}
