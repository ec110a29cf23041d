// One batch whole: what is in the jar, how it came in, and what became of it.

import { dots, el } from "../draw.js";
import { ask, file, text } from "../service.js";
import * as tell from "../tell.js";
import { choose } from "./compare.js";
import * as folder from "./folder.js";
import * as jar from "./jar.js";
import { alert, day, form, list, named, outcome, part, right, table, told } from "./parts.js";
import { address } from "./route.js";

export async function fill(page, mark, about) {
  const { words } = about;
  const said = words.desk;
  const path = `/v1/batches/${encodeURIComponent(mark)}`;
  const [batch, picture] = await Promise.all([ask("GET", path), text(`${path}/plot`).catch(() => null)]);
  const beside = await choose(batch, words);
  const g = (value) => (value === null || value === undefined ? "–" : words.figures.weighed(value, 2));
  page.append(
    el("h1", {}, `${batch.recipe} · ${batch.mark}`),
    el("p", {}, dots(batch.rehearsal && words.rehearsal, words.state[batch.state], day(batch.opened, words),
      batch.closed && `– ${day(batch.closed, words)}`, batch.room).replace(" · –", " –")),
    el("p", {}, dots(said.jarWeighs(g(batch.tare_g)), batch.weighed_on.division_g !== null && said.scaleOf(g(batch.weighed_on.division_g)), batch.weighed_on.profile), ...batch.choices.map((choice) => ` · ${choice.name}: ${choice.chosen}`),
      batch.recipe_file && ` · ${said.recipeFile(batch.recipe_file)}`),
    label(batch.mark, said),
    ...[...[jar.now(batch, g, words)].flat(), part(said.contents, table(
      [said.ingredient, right(said.planned), right(said.poured), right(said.unseen)],
      batch.contents.map((line) => [line.name, g(line.planned_g), known(g(line.poured_g), line.uncertainty_g, g), line.unseen_g ? g(line.unseen_g) : ""]), said.contents, true)),
    part(said.shares, table(
      [said.ingredient, right(said.planned), right(said.poured)],
      batch.shares.map((line) => [line.ingredient, words.share(line.planned), known(words.share(line.result), line.uncertainty, words.share)]), said.shares)),
    jar.rescues(batch, words),
    part(words.steps, el("ol", { class: "lines" }, ...batch.steps.map((step) => el("li", {},
      `${tell.title(step, words)} ${step.poured_g === null ? "" : g(step.poured_g)}`.trim(),
      ` – ${step.verdict ? words.verdict[step.verdict] : words.status[step.status]}`)))),
    part(said.cameOut, list(batch.outcomes.map((line) => el("span", {}, `${day(line.at, words)}: `, outcome(line, said))))),
    about.role === "operator" && batch.closed && came(path, said, () => location.hash === address("history", mark) && fill(clear(page), mark, about)),
    about.role === "operator" && batch.closed && jar.again(batch, about),
    part(said.compare, beside),
    part(said.weight, picture && el("img", { class: "plot", alt: said.weightOf(batch.recipe), src: `data:image/svg+xml;utf8,${encodeURIComponent(picture)}` })),
    part(said.pouredInto, list(batch.poured_into.map((line) => {
      const text = `${line.recipe} ${line.batch}: ${g(line.poured_g)}`.trim();
      // A batch that is not in this log has no page.
      return line.recipe ? el("a", { href: address("history", line.batch) }, text) : text;
    }))),
    part(said.entries, el("details", {}, el("summary", {}, said.count(batch.entries.length)),
      el("ol", { class: "lines" }, ...batch.entries.map((entry) => el("li", {}, `${day(entry.at, words)}: `, told(tell.entry(entry, words)))))))].filter(Boolean));
}

/** A number with how well it is known. */
const known = (text, by, write) => (by ? `${text} ± ${write(by)}` : text);

const clear = (page) => { page.replaceChildren(); return page; };

/** A label for the jar: a file to open or print, made when it is asked for. */
function label(mark, said) {
  const state = el("div", { class: "state", role: "status" });
  const link = el("a", { download: `${mark}.pdf`, hidden: "" }, `${mark}.pdf`);
  const make = el("button", { type: "button" }, said.label);
  make.addEventListener("click", async () => {
    state.textContent = "";
    try {
      const { made, remarks } = await file("/v1/labels", { marks: [mark], best_before_days: await keeps() });
      if (link.href) URL.revokeObjectURL(link.href);
      link.href = URL.createObjectURL(made);
      link.hidden = false;
      link.click();
      if (remarks.length > 0) state.replaceChildren(said.onLabel, list(remarks.map((remark) => tell.onLabel(remark, said)), "warning"));
    } catch (error) {
      state.textContent = said.failed(error.message);
    }
  });
  return el("div", { class: "row" }, make, link, state);
}

/** For how many days a mix is good, as the studio's settings say; nothing where no folder was named. */
const keeps = () => folder.read().then((all) => all.best_before_days, (error) => {
  if (error.status === 404) return null;
  throw error;
});

/** What became of it, to be said when it has dried. */
function came(path, said, again) {
  const found = el("input", { id: "found-words", maxlength: "200" });
  const better = el("input", { id: "better-than", maxlength: "20" });
  const state = alert();
  const made = form(said.add, [named(said.foundWords, found), named(said.better, better)], async () => {
    const words = found.value.split(";").map((word) => word.trim()).filter(Boolean);
    try {
      await ask("POST", `${path}/outcomes`, { found: words, better_than: better.value.trim() || null });
      again();
    } catch (error) {
      state.textContent = said.failed(error.message);
    }
  });
  return el("section", {}, made, state);
}
