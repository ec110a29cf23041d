// Beginning something at the bench, and whose hand it is: that is kept in this browser.

import { el } from "../draw.js";
import { ask } from "../service.js";
import { named, refused } from "./parts.js";
import { go } from "./route.js";

const KEPT = "tarehand.hand";
/** The longest that the service takes. */
const LETTERS = 40;

const kept = () => localStorage.getItem(KEPT) ?? "";

/** The field for whose hand pours; empty is the usual one. */
export function hand(words) {
  const field = el("input", { id: "hand", maxlength: LETTERS, autocomplete: "off", placeholder: words.desk.usualHand, value: kept() });
  field.addEventListener("input", () => localStorage.setItem(KEPT, field.value.trim()));
  return named(words.desk.hand, field, "ask");
}

/** Names the hand in a message that opens a batch. */
export const by = (message) => (kept() ? { ...message, hand: kept() } : message);

/** Opens a rehearsal, of a batch or of a set, on a simulated scale, and goes to its bench; `line` says why not. */
export async function rehearse(path, message, { words }, line) {
  try {
    const view = await ask("POST", path, message);
    location.assign(`/?bench=${encodeURIComponent(view.bench)}#/bench`);
  } catch (error) {
    refused(line, error, words);
  }
}

/** Opens something at the bench and goes there; `line` says why not. */
export async function open(what, message, { bench, words }, line) {
  try {
    await ask("POST", `/v1/benches/${encodeURIComponent(bench())}/${what}`, message);
    go("bench");
  } catch (error) {
    refused(line, error, words);
  }
}
