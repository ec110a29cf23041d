// One batch whole: what is in the jar, how it came in, and what became of it.

import { grams } from "../figures.js";
import { el } from "../draw.js";
import { ask } from "../service.js";
import { day, list, part, table } from "./parts.js";
import { address } from "./route.js";

export async function fill(page, mark, { words }) {
  const said = words.desk;
  const batch = await ask("GET", `/v1/batches/${encodeURIComponent(mark)}`);
  const g = (value) => (value === null || value === undefined ? "–" : `${grams(value, 2)} g`);
  page.append(
    el("h1", {}, `${batch.recipe} · ${batch.mark}`),
    el("p", {}, [batch.rehearsal && words.rehearsal, words.state[batch.state], day(batch.opened, words),
      batch.closed && `– ${day(batch.closed, words)}`].filter(Boolean).join(" · ").replace(" · –", " –")),
    el("p", {}, said.jarWeighs(g(batch.tare_g)), ...batch.choices.map((choice) => ` · ${choice.name}: ${choice.chosen}`)),
    ...[part(said.contents, table(
      [{ title: said.ingredient }, { title: said.planned, right: true }, { title: said.poured, right: true }, { title: said.unseen, right: true }],
      batch.contents.map((line) => [line.name, g(line.planned_g), g(line.poured_g), line.unseen_g ? g(line.unseen_g) : ""]), said.contents)),
    part(said.shares, table(
      [{ title: said.ingredient }, { title: said.planned, right: true }, { title: said.poured, right: true }],
      batch.shares.map((line) => [line.ingredient, words.share(line.planned), words.share(line.result)]), said.shares)),
    part(words.steps, el("ol", { class: "lines" }, ...batch.steps.map((step) => el("li", {},
      `${step.title} ${step.poured_g === null ? "" : g(step.poured_g)}`.trim(),
      ` – ${step.verdict ? words.verdict[step.verdict] : words.status[step.status]}`)))),
    part(said.pouredInto, list(batch.poured_into.map((line) => el("a", { href: address("history", line.batch) }, `${line.recipe} ${line.batch}: ${g(line.poured_g)}`)))),
    part(said.entries, el("details", {}, el("summary", {}, said.count(batch.entries.length)),
      el("ol", { class: "lines", lang: "en" }, ...batch.entries.map((entry) => el("li", {}, `${day(entry.at, words)}: ${entry.text}`)))))].filter(Boolean));
}
