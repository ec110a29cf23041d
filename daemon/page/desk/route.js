// Where in the page one is: the bench, or one of the things beside it, by what stands behind the mark in the address.

/** The places that are always offered, in the order of a day. */
export const PLACES = ["bench", "recipes", "shelf", "history"];
/** Those that are reached from another, which is marked while one is there. */
const WITHIN = { plan: "recipes", compare: "history", learnt: "history" };

/** Reads the address: `#/history/8KER7` is the batch 8KER7 of the history. */
export function route() {
  const [place, ...rest] = location.hash.replace(/^#\/?/, "").split("/").map(part);
  return { place: PLACES.includes(place) || Object.hasOwn(WITHIN, place) ? place : "bench", of: rest.join("/") || null };
}

/** The place that is marked on the way to each. */
export const marked = (place) => WITHIN[place] ?? place;

/** `of` may have several parts, as two batches that are compared. */
export const address = (place, of) => `#/${place}${of ? `/${of.split("/").map(encodeURIComponent).join("/")}` : ""}`;

/** Goes there; what is left stays one step back. */
export const go = (place, of) => { location.hash = address(place, of); };

function part(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}
