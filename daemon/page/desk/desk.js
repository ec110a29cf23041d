// The desk: everything that is read and written away from the scale.

import { el, id } from "../draw.js";
import { PLACES, address, marked, route } from "./route.js";

/** A place is fetched when somebody goes there: whoever comes to pour waits for the bench alone. */
const choose = ({ place, of }) => ({
  compare: () => import("./compare.js"),
  history: () => (of ? import("./batch.js") : import("./history.js")),
  learnt: () => import("./learnt.js"),
  recipes: () => (of ? import("./recipe.js") : import("./recipes.js")),
  shelf: () => import("./shelf.js"),
  plan: () => import("./plan.js"),
})[place]();

/** What is said there, by language. */
const WORDS = { en: () => import("../words/desk-en.js"), de: () => import("../words/desk-de.js") };

let shown = "";

/** Draws the way to each place; the one that is shown is marked, and the bench where it asks something. */
export function ways(words, asks) {
  const here = marked(route().place);
  id("places").setAttribute("aria-label", words.desk.places);
  id("places").replaceChildren(...PLACES.map((name) => el("a", {
    href: address(name), "aria-current": name === here && "page", class: name === "bench" && asks && "asks",
  }, words.desk[name], name === "bench" && asks && el("span", { class: "sr" }, `: ${words.doing.answer()}`))));
}

/** Shows the place of the address; `about` has the words, the bench, and what this visitor may do. */
export async function show(about) {
  const where = route();
  const key = JSON.stringify([where, about.words.language]);
  shown = key;
  const atBench = where.place === "bench";
  id("bench").hidden = !atBench;
  id("desk").hidden = atBench;
  if (atBench) return;
  const page = el("article", { class: `page ${where.place}` });
  try {
    const { words } = about;
    const [{ fill }, { default: said }] = await Promise.all([choose(where), WORDS[words.language]()]);
    await fill(page, where.of, { ...about, words: { ...words, desk: { ...words.desk, ...said } } });
  } catch (error) {
    page.replaceChildren(el("h1", {}, about.words.desk[where.place]), failed(error, about.words));
  }
  // Whoever went on meanwhile is not called back.
  if (shown !== key) return;
  id("desk").replaceChildren(page);
  const title = page.querySelector("h1");
  document.title = `${title?.textContent ?? ""} – Tarehand`;
  title?.setAttribute("tabindex", "-1");
  title?.focus();
}

/** What went wrong, and what can be done. */
export function failed(error, words) {
  return el("p", { class: "problem", role: "alert" }, words.desk.failed(error.message),
    error.hint && el("span", { class: "hint", lang: "en" }, error.hint));
}
