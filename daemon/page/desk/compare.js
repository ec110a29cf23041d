// Two batches side by side: what was planned and poured, the trails, and what became of them.

import { dots, el } from "../draw.js";
import { ask } from "../service.js";
import { button, day, named, outcome } from "./parts.js";
import { address, go } from "./route.js";

/** So many are offered of its recipe, and of all. */
const MANY = 50;

export async function fill(page, of, { words }) {
  const said = words.desk;
  const [mark, other = ""] = (of ?? "").split("/").map(encodeURIComponent);
  const both = await ask("GET", `/v1/batches/${mark}/compared/${other}`);
  const sides = [both.one, both.other];
  const cells = (pair) => [pair.one, pair.other];
  const g = (value) => (value === null ? "–" : words.figures.weighed(value, 2));
  const row = (title, texts) => texts.some(Boolean) && el("tr", {}, el("th", { scope: "row" }, title), ...texts.map((text) => el("td", {}, text)));
  const group = (...rows) => el("tbody", {}, ...rows);
  page.append(
    el("h1", {}, sides.map((batch) => batch.mark).join(" · ")),
    el("p", {}, said.sameText(both.same_recipe)),
    el("table", { class: "list pair" },
      el("caption", {}, said.compare),
      el("thead", {}, el("tr", {}, el("th", { scope: "col" }, said.batch),
        ...sides.map((batch) => el("th", { scope: "col" }, el("a", { href: address("history", batch.mark) }, batch.mark))))),
      group(
        row(said.recipe, sides.map((batch) => batch.recipe)),
        row(said.began, sides.map((batch) => day(batch.opened, words))),
        row(said.outcome, sides.map((batch) => dots(words.state[batch.state], batch.rehearsal && words.rehearsal))),
        row(said.room, sides.map((batch) => batch.room)),
        row(said.inJar, sides.map((batch) => (batch.amends ? "–" : g(batch.in_jar_g)))),
        row(said.trail, cells(both.trails_s).map((trails) => trails.map(words.figures.seconds).join(", "))),
        row(said.cameOut, sides.map((batch) => batch.outcomes.length > 0 && el("ul", { class: "lines" }, ...batch.outcomes.map((line) => el("li", {}, outcome(line, said))))))),
      ...both.ingredients.map((one) => group(
        el("tr", {}, el("th", { scope: "rowgroup", colspan: 3 }, one.name)),
        row(said.planned, cells(one.planned_g).map(g)),
        row(said.poured, cells(one.poured_g).map(g)),
        row(said.share, cells(one.part).map((part) => (part === null ? "–" : words.figures.percent(part, 1))))))));
}

/** What another batch is chosen with, to be put beside this one: those of its recipe come first. */
export async function choose(batch, words) {
  const said = words.desk;
  const found = (query) => ask("GET", `/v1/batches?limit=${MANY}${query}`).then(({ batches }) => batches, () => []);
  const [alike, newest] = await Promise.all([found(`&find=${encodeURIComponent(batch.recipe)}`), found("")]);
  const others = new Map([...alike.filter((one) => one.recipe === batch.recipe), ...newest].map((one) => [one.mark, one]));
  others.delete(batch.mark);
  if (others.size === 0) return false;
  const title = (one) => dots(one.recipe, one.mark, day(one.opened, words), one.rehearsal && words.rehearsal);
  const picks = el("select", { id: "beside" }, ...[...others.values()].map((one) => el("option", { value: one.mark }, title(one))));
  return el("div", { class: "row" }, named(said.beside, picks),
    button(said.compare, () => go("compare", `${batch.mark}/${picks.value}`)));
}
