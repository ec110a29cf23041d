// What the person may say now, as buttons; the first one is what a finger, a pedal or a key says.

import { el, id } from "./draw.js";

/** What of this view can be said: the first is the usual answer. */
export function possible(view) {
  const { doing, question, timing_trail: timing } = view;
  if (["nothing", "complete", "aborted"].includes(doing.what)) return [];
  if (question) return question.options.length ? ["undo", "pause", "abort"] : ["yes", "no", "undo", "abort"];
  if (doing.what === "paused") return ["resume", "abort"];
  const all = doing.what === "trail" || doing.what === "thin" ? [timing ? "trail-stop" : "trail-start", "next"]
    : ["next"];
  if (doing.what === "thin" && !timing) all.reverse();
  // A jar that was lifted is put back; that it stands there and the scale was tared is seldom so, and no key says it.
  if (doing.what === "jar-gone") return ["undo", "pause", "tared", "skip", "back", "ran-out", "abort"];
  return [...all, "undo", "pause", "skip", "back", "ran-out", "abort"];
}

/** The message of an act. */
export function message(act) {
  return act === "yes" || act === "no" ? { command: "answer", answer: act } : { command: act };
}

/** What a message says, in the words of its button; a way out by its number. */
const said = ({ command, answer, option }, words) => (option ? words.wayOf(option) : words.acts[answer ?? command]);

/** How many are shown before the person asks for more. */
const SHOWN = 3;
let all = false;

export function show(view, words, say) {
  const acts = possible(view);
  const button = (act, place) => el("button", {
    type: "button", class: place === 0 && act !== "undo" && "first", disabled: act === "undo" && !view.can_undo,
    onclick: () => { if (act !== "abort" || confirm(words.acts.sure)) say(message(act)); },
  }, words.acts[act]);
  const shown = all ? acts : acts.slice(0, SHOWN);
  const more = acts.length > SHOWN && el("button", {
    type: "button", "aria-expanded": String(all), onclick: () => { all = !all; show(view, words, say); },
  }, all ? words.acts.less : words.acts.more);
  const taps = view.taps && el("p", { class: "taps" }, words.taps(said(view.taps.once, words), view.taps.twice && said(view.taps.twice, words)));
  id("acts").replaceChildren(...[...shown.map(button), more, taps].filter(Boolean));
}
