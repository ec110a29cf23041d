// Where in the page one is: the bench, or one of the things beside it, by what stands behind the mark in the address.

/** The places that are always offered, in the order of a day. */
export const PLACES = ["bench", "recipes", "shelf", "history"];
const ALL = [...PLACES, "plan"];

/** Reads the address: `#/history/8KER7` is the batch 8KER7 of the history. */
export function route() {
  const [place, ...rest] = location.hash.replace(/^#\/?/, "").split("/").map(part);
  return { place: ALL.includes(place) ? place : "bench", of: rest.join("/") || null };
}

export const address = (place, of) => `#/${place}${of ? `/${encodeURIComponent(of)}` : ""}`;

/** Goes there; what is left stays one step back. */
export const go = (place, of) => { location.hash = address(place, of); };

function part(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}
