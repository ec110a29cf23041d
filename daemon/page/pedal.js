// The keys of a pedal or a remote control: those that turn pages work by themselves, others are taught.

import { el } from "./draw.js";

const KEPT = "tarehand.pedal";
const NEXT = ["Enter", "PageDown", "ArrowRight", "ArrowDown"];
const UNDO = ["Backspace", "PageUp", "ArrowLeft", "ArrowUp"];
/** Held with another key; none by itself. */
const BARE = ["Shift", "Control", "Alt", "AltGraph", "Meta", "CapsLock", "Unidentified", "Dead", "Process"];

/** What was taught: the key for next and the key for undo; nothing where nothing was. */
function taught() {
  try {
    const keys = JSON.parse(localStorage.getItem(KEPT));
    return Array.isArray(keys) && keys.length === 2 && keys.every((key) => typeof key === "string") ? keys : null;
  } catch {
    return null;
  }
}

/** What a key stands for: "next", "undo" or nothing. A key that was taught goes before what it means else. */
export function meant(key) {
  const [next, undo] = taught() ?? [];
  if (key === next) return "next";
  if (key === undo) return "undo";
  return NEXT.includes(key) ? "next" : UNDO.includes(key) ? "undo" : null;
}

/** Ends the teaching that runs, where one does. */
let stop = () => {};

/** A button that takes the next two keys as next and undo. Pressed again, or Escape: as it was before anything was taught. */
export function button(words) {
  stop();
  const made = el("button", { type: "button", id: "pedal", "aria-live": "polite" });
  let heard = null;
  const tell = () => {
    made.textContent = heard === null ? words.pedal.name : heard.length === 0 ? words.pedal.next : words.pedal.undo;
    made.setAttribute("aria-pressed", String(taught() !== null));
  };
  const end = () => {
    heard = null;
    stop = () => {};
    document.removeEventListener("keydown", hear, true);
    // Else the pedal would press this button.
    made.blur();
    tell();
  };
  const hear = (event) => {
    event.preventDefault();
    event.stopPropagation();
    // One key cannot say both; held down it is still one.
    if (event.repeat || BARE.includes(event.key) || heard.includes(event.key)) return;
    if (event.key === "Escape") {
      localStorage.removeItem(KEPT);
      return end();
    }
    heard.push(event.key);
    if (heard.length < 2) return tell();
    localStorage.setItem(KEPT, JSON.stringify(heard));
    end();
  };
  made.addEventListener("click", () => {
    if (heard !== null) {
      localStorage.removeItem(KEPT);
      return end();
    }
    heard = [];
    stop = end;
    document.addEventListener("keydown", hear, true);
    tell();
  });
  tell();
  return made;
}
