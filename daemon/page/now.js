// What is to be done now: the words, the figure, what is left, the beam.

import * as beam from "./beam.js";
import { clock } from "./figures.js";
import { dots, id, put } from "./draw.js";
import * as tell from "./tell.js";

/** What of a step is weighed: its target, and the least and the most that are good. */
export function span(doing) {
  const { target_g: target, within_g: within } = doing;
  switch (doing.what) {
    case "pour": return { target, low: target - within, high: target + within };
    case "count": return { target: doing.expected_g, low: 0, high: Infinity };
    case "pour-between": return { target: doing.high_g, low: doing.low_g, high: doing.high_g };
    case "thin": return doing.splash_g ? { target: doing.splash_g, low: 0, high: doing.at_most_g ?? Infinity } : null;
    default: return null;
  }
}

/** The words of a view. */
export function saying(view, digits, words) {
  const g = (value) => words.figures.weighed(value, digits);
  const { doing, bottle, question } = view;
  if (question) return tell.question(question, words);
  if (bottle && "step" in doing) {
    const said = words.bottle[bottle];
    const what = doing.ingredient ?? "";
    return typeof said === "function" ? said(what) : said;
  }
  return words.doing[doing.what](doing, g, doing.what === "count" && tell.count(doing, words));
}

export function aside(view, digits, words) {
  const { doing } = view;
  const note = view.steps.find((step) => step.status === "now")?.note;
  const tolerance = doing.within_g ? words.within(words.figures.weighed(doing.within_g, digits)) : null;
  if (doing.what === "nothing") return words.howToBegin;
  if (doing.what === "complete") return words.allOnPan;
  return dots(tell.advice(doing, words), tell.water(doing, words), tolerance, note);
}

/** How long a mix that hardens can still be worked; `sinceView` is in milliseconds. */
export function hardens(view, sinceView, words) {
  if (typeof view.hardens_in_ms !== "number") return "";
  return words.hardens(Math.floor(Math.max(0, view.hardens_in_ms - sinceView * view.clock_rate) / 60_000));
}

/** What the figure shows: a timer while one runs, else the net of the step, else all on the pan. */
export function figure(view, weight, sinceView, digits, words) {
  const { doing } = view;
  if (doing.what === "stir" || doing.what === "rest") {
    const left = doing.left_ms / 1000 - (sinceView / 1000) * view.clock_rate;
    return { text: clock(left), unit: "", time: true };
  }
  // When nothing runs any more, what the last step received is no answer to anything.
  const over = doing.what === "complete" || doing.what === "aborted";
  const value = (over ? null : weight?.net_g) ?? weight?.gross_g ?? null;
  return { text: value === null ? "– –" : words.figures.grams(value, digits), unit: "g", time: false };
}

export function left(view, weight, digits, words) {
  const range = span(view.doing);
  const net = weight?.net_g ?? null;
  if (!range || net === null) return { text: "", over: false, near: null };
  const { target, low, high } = range;
  const over = Number.isFinite(high) && net > high;
  const text = over ? words.tooMuch(words.figures.weighed(net - target, digits))
    : low <= net && view.doing.what === "pour" ? words.there
    : words.toGo(words.figures.weighed(Math.max(0, target - net), digits));
  return { text, over, near: target > 0 ? Math.max(0, 1 - net / target) : null };
}

/** A figure as wide as its text in a box of a fixed height: it grows and never shifts anything. */
function draw(text) {
  const figureBox = id("figure");
  const shown = figureBox.firstElementChild;
  put(shown, text);
  const { width, height } = figureBox.getBoundingClientRect();
  // Bold digits are two thirds as wide as the type is high, in the widest of the usual fonts; below 5 of them the box keeps its width.
  const needed = 66 * Math.max(5, text.length);
  const across = Math.max(needed, height > 0 ? (96 * width) / height : needed);
  figureBox.setAttribute("viewBox", `0 0 ${across} 96`);
  shown.setAttribute("x", across - 4);
}

export function show(view, weight, sinceView, digits, words) {
  const told = figure(view, weight, sinceView, digits, words);
  draw(told.text);
  put(id("unit"), told.unit);
  const rest = left(view, weight, digits, words);
  put(id("left"), rest.text);
  put(id("hardens"), hardens(view, sinceView, words));
  document.body.classList.toggle("over", rest.over);
  const range = span(view.doing);
  const [low, high] = range ? [range.low, Math.min(range.high, range.target * 1.3)] : [0, 0];
  beam.show(weight?.net_g ?? null, range?.target ?? 0, low, high, rest.over);
  const spoken = range ? words.beamSays(words.figures.grams(weight?.net_g ?? 0, digits), words.figures.weighed(range.target, digits)) : "";
  id("beam").setAttribute("aria-label", spoken);
  id("figure").setAttribute("aria-label", `${told.text} ${told.unit}`);
  return rest;
}
