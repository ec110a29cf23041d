// Keys: of a keyboard, of a pedal that turns pages, of a remote control. They say what the buttons say.

import { message, possible } from "./acts.js";
import { meant } from "./pedal.js";

/** What a key says in this view; nothing where it has no meaning. */
export function said(key, view) {
  const { question } = view;
  const meaning = meant(key);
  const way = question?.options.find((option) => option.feasible && (meaning === "next" || String(option.option) === key));
  if (way) return { command: "answer", option: way.option };
  const acts = possible(view);
  if (meaning === "next") return acts[0] && acts[0] !== "undo" ? message(acts[0]) : null;
  if (meaning === "undo") return acts.includes("undo") && view.can_undo ? message("undo") : null;
  if (key === " ") return acts.includes("pause") ? message("pause") : acts.includes("resume") ? message("resume") : null;
  return null;
}

export function begin(view, say) {
  document.addEventListener("keydown", (event) => {
    // On a button Enter and the space bar press that button; held down a key says nothing more than once.
    const own = ["Enter", " "].includes(event.key) ? "button, input, textarea, select" : "input, textarea, select";
    if (event.repeat || event.ctrlKey || event.altKey || event.metaKey || event.target.closest(own)) return;
    const told = view() && said(event.key, view());
    if (!told) return;
    event.preventDefault();
    say(told);
  });
}
