// Which finished jar stands on the pan, while nothing is being made.

import { id, put } from "./draw.js";

const IDLE = ["nothing", "complete", "aborted"];
/** A weight that differs by less is still the one that was asked about, in grams. */
const SAME = 0.5;
/** Less is no jar, in grams. */
const LEAST = 5;

let asked = null;
let found = [];

/** Asks once about each weight that rests on the pan. */
export async function look(view, weight, ask, words) {
  const rests = view && IDLE.includes(view.doing.what) && weight?.settled && weight.gross_g > LEAST;
  if (!rests) {
    asked = null;
    found = [];
    return show(words);
  }
  if (asked !== null && Math.abs(asked - weight.gross_g) < SAME) return;
  const about = weight.gross_g;
  asked = about;
  found = [];
  // A service that does not answer now is asked again about the next weight.
  const answer = await ask().catch(() => ({ fits: [] }));
  if (asked === about) {
    found = answer.fits;
    show(words);
  }
}

export function show(words) {
  put(id("known"), found.length === 0 ? "" : words.jarIs(found.map((jar) => `${jar.recipe}, ${jar.mark}`)));
}
