// Keys: of a keyboard, of a pedal that turns pages, of a remote control. They say what the buttons say.

import { message, possible } from "./acts.js";

const FIRST = ["Enter", "PageDown", "ArrowRight", "ArrowDown"];
const UNDO = ["Backspace", "PageUp", "ArrowLeft", "ArrowUp"];

/** What a key says in this view; nothing where it has no meaning. */
export function said(key, view) {
  const { question } = view;
  const way = question?.options.find((option) => String(option.option) === key && option.feasible);
  if (way) return { command: "answer", option: way.option };
  const acts = possible(view);
  if (FIRST.includes(key)) return acts[0] && acts[0] !== "undo" ? message(acts[0]) : null;
  if (UNDO.includes(key)) return acts.includes("undo") && view.can_undo ? message("undo") : null;
  if (key === " ") return acts.includes("pause") ? message("pause") : acts.includes("resume") ? message("resume") : null;
  return null;
}

export function begin(view, say) {
  document.addEventListener("keydown", (event) => {
    // On a button a key presses that button; held down it says nothing more than once.
    if (event.repeat || event.ctrlKey || event.altKey || event.metaKey || event.target.closest("button, input, textarea, select")) return;
    const told = view() && said(event.key, view());
    if (!told) return;
    event.preventDefault();
    say(told);
  });
}
