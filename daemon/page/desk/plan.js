// The plan of a set: its jars, its premixes, what it takes from the shelf, and the order of work.

import { el } from "../draw.js";
import { ask } from "../service.js";
import { by, hand, open, rehearse } from "./begin.js";
import { editor } from "./editor.js";
import * as folder from "./folder.js";
import * as tell from "../tell.js";
import { alert, button, list, part, remarks, right, table, told } from "./parts.js";
import { address } from "./route.js";

export async function fill(page, stem, about) {
  const { words } = about;
  const said = words.desk;
  const all = await folder.read();
  const file = folder.file(all, stem);
  if (!file) throw new Error(said.noFile(`${stem}.toml`));
  const shown = el("div");
  const draw = async () => {
    try {
      const { recipes, shelf, measures } = folder.texts(all);
      const asked = { set: folder.file(all, stem).text, recipes, shelf, measures };
      shown.replaceChildren(...planned(await ask("POST", "/v1/sets/plan", asked), words), begin(asked, all, about));
    } catch (error) {
      shown.replaceChildren(el("pre", { class: "problem", lang: "en" }, error.message));
    }
  };
  await draw();
  page.append(el("h1", {}, file.name ?? file.stem), shown, el("details", {}, el("summary", {}, said.write), editor(all, file, about, draw)));
}

function planned(plan, words) {
  const said = words.desk;
  const { grams, mass, weighed, share: percent } = words.figures;
  // Of little, a tenth of a gram says nothing.
  const g = (value) => (value === null ? "–" : 0 < value && value < 1 ? mass(value) : weighed(value, 1));
  const share = (value) => (value === null ? "–" : percent(value));
  return [
    el("p", {}, said.surface(grams(plan.area_cm2, 0), grams(plan.pour_ml, 0), grams(plan.thickness_mm, 2))),
    part(said.look, list([...remarks(plan.diagnostics, words), ...plan.warnings.map((one) => told(tell.matter(one, said)))], "warning")),
    part(words.jars, table(
      [said.recipe, right(said.amount), right("ml"), right(said.trail), right(said.water), right(said.solids)],
      plan.jars.map((jar) => [el("a", { href: address("recipes", jar.recipe) }, jar.name), g(jar.grams),
        jar.volume_ml === null ? "–" : grams(jar.volume_ml, 0), jar.trail_s === null ? "–" : words.figures.seconds(jar.trail_s), share(jar.water), share(jar.solids)]), words.jars)),
    part(said.premixes, plan.premixes.length > 0 && table([said.recipe, right(said.amount), right(said.heel)],
      plan.premixes.map((one) => [one.name, g(one.grams), g(one.heel_g)]), said.premixes)),
    part(said.shelf, table(
      [said.ingredient, right(said.amount), right(said.stock), right(said.short), right(said.cost)],
      plan.shelf.map((one) => [one.name, g(one.grams), g(one.stock_g), one.short_g ? g(one.short_g) : "", one.cost === null ? "–" : grams(one.cost, 2)]), said.shelf),
    el("p", {}, plan.cost.map((one) => `${grams(one.amount, 2)} ${one.currency ?? ""}`).join(" + "))),
    part(said.work, el("p", {}, said.takes(words.figures.stretch(plan.work.takes_s), words.figures.stretch(plan.work.one_after_another_s))),
      el("ol", { class: "lines" }, ...plan.work.stints.map((one) => el("li", {}, said.stint(one, words.figures.stretch))))),
  ].filter(Boolean);
}

/** Both walks, and a rehearsal of the shorter one. */
function begin(asked, all, about) {
  const { words, role } = about;
  const said = words.desk;
  if (role !== "operator") return "";
  const state = alert();
  const wanted = () => by({ ...asked, grow_by_percent: all.grow_by_percent });
  const mix = (walk) => button(said.walks[walk], () => open("set", { ...wanted(), walk }, about, state), { disabled: !about.bench() });
  const play = button(said.rehearse, () => rehearse("/v1/rehearsals/set", { set: wanted() }, about, state));
  return el("div", {}, el("div", { class: "row" }, hand(words), mix("jar"), mix("bottle"), play), state);
}
