// What was mixed: every batch, newest first, found by a part of any word that belongs to it.

import { dots, el } from "../draw.js";
import { ask } from "../service.js";
import { change } from "./jar.js";
import { day, named, right, table } from "./parts.js";
import { address } from "./route.js";

/** How many are asked for at once. */
const MANY = 100;
const RESTS = 250;

export async function fill(page, _of, { words }) {
  const said = words.desk;
  const field = el("input", { id: "find", type: "search", autocomplete: "off" });
  const found = el("div", { "aria-live": "polite" });
  let round = 0;
  async function find() {
    const mine = ++round;
    const name = field.value.trim();
    const { batches } = await ask("GET", `/v1/batches?limit=${MANY}${name ? `&find=${encodeURIComponent(name)}` : ""}`);
    if (mine === round) found.replaceChildren(batches.length > 0 ? lines(batches, words) : el("p", {}, said.noBatches));
  }
  let rests;
  field.addEventListener("input", () => { clearTimeout(rests); rests = setTimeout(find, RESTS); });
  await find();
  page.append(el("h1", {}, said.history), named(said.find, field, "ask"),
    el("a", { class: "button", href: address("learnt") }, said.learnt), found);
}

function lines(batches, words) {
  const said = words.desk;
  const g = (value) => words.figures.weighed(value, 1);
  const columns = [said.batch, said.recipe, said.began, said.outcome, right(said.inJar)];
  return table(columns, batches.map((batch) => [
    el("a", { href: address("history", batch.mark) }, batch.mark),
    // What was done with the jar of another batch has nothing in a jar of its own.
    batch.opened_again ? said.reopened(batch.opened_again) : dots(batch.recipe, batch.rehearsal && words.rehearsal),
    day(batch.opened, words), words.state[batch.state], batch.opened_again ? change(batch.opened_again.mass_g, g) : g(batch.in_jar_g),
  ]), said.history);
}
