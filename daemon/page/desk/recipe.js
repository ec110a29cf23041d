// One recipe: sized, mixed, and written.

import { dots, el } from "../draw.js";
import { ask } from "../service.js";
import * as tell from "../tell.js";
import { by, hand, open, rehearse } from "./begin.js";
import { editor } from "./editor.js";
import * as folder from "./folder.js";
import { alert, button, list, named, part, remarks, right, table } from "./parts.js";

export async function fill(page, stem, about) {
  const said = about.words.desk;
  const all = await folder.read();
  const file = folder.file(all, stem);
  if (!file) throw new Error(said.noFile(`${stem}.toml`));
  page.classList.add("two");
  page.append(el("h1", {}, file.name ?? file.stem));
  const sized = file.kind === "recipe" && sizing(all, file, about);
  if (sized) page.append(sized.shown);
  page.append(editor(all, file, about, () => sized && sized.again()));
}

/** The recipe at a size, and the ways to begin it. */
function sizing(all, file, about) {
  const { words, role, bench } = about;
  const said = words.desk;
  const make = el("input", { id: "make", autocomplete: "off", placeholder: said.asWritten });
  const shown = el("div", { "aria-live": "polite" });
  const state = alert();
  const choices = {};

  const batch = () => ({
    recipe: file.stem, ...folder.texts(all), choices,
    size: make.value.trim() ? { make: make.value.trim() } : "as-written",
  });

  async function again() {
    try {
      const answer = await ask("POST", "/v1/recipes/size", batch());
      shown.replaceChildren(...[asked(answer.choices), steps(answer, words), el("p", { class: "total" }, words.total(words.figures.weighed(answer.total_g, 2))),
        part(said.look, list([...remarks(answer.diagnostics, words), ...answer.changed.map((one) => words.remark.changed({ ...one, ingredient: one.name })[0])], "warning"))].filter(Boolean));
    } catch (error) {
      shown.replaceChildren(el("pre", { class: "problem", lang: "en" }, error.message));
    }
  }

  const asked = (made) => made.length > 0 && el("div", { class: "row" }, ...made.map((choice) => {
    const picks = el("select", { id: `choice-${choice.name}` }, ...[choice.chosen, ...choice.others].map((one) => el("option", { value: one }, one)));
    picks.addEventListener("change", () => { choices[choice.name] = picks.value; again(); });
    return named(choice.name, picks);
  }));

  const begin = (way) => async () => {
    const wanted = by({ ...batch(), grow_by_percent: all.grow_by_percent });
    state.textContent = "";
    return way === "mix" ? open("batch", wanted, about, state) : rehearse("/v1/rehearsals", { batch: wanted }, about, state);
  };

  make.addEventListener("change", again);
  again();
  return {
    again,
    shown: el("section", {}, named(said.make, make, "ask"), shown,
      role === "operator" && el("div", { class: "row" }, hand(words), button(said.mix, begin("mix"), { class: "first", disabled: !bench() }), button(said.rehearse, begin("rehearse"))), state),
  };
}

/** What is done in a step, with what of it no number of the table says. */
function what(step, words) {
  const { sized } = words.desk;
  const { whole, seconds } = words.figures;
  const most = step.most_g && whole(step.most_g);
  return dots([step.counted && words.count(step.counted), tell.title({ title: step.text, action: step.action }, words)].filter(Boolean).join(" "),
    step.by_eye && sized.byEye, step.least_g !== undefined ? sized.between(whole(step.least_g), most) : most && sized.most(most),
    step.wanted_s && sized.wanted(seconds(step.wanted_s)), step.from_bottle && sized.bottle);
}

function steps(answer, words) {
  const said = words.desk;
  return table([said.step, right("g"), right(said.share), right(said.within)],
    answer.steps.map((step) => [
      what(step, words), step.grams === null ? "" : words.figures.grams(step.grams, 2),
      step.share === null ? "" : words.share(step.share), step.within_g === null ? "" : `± ${words.figures.grams(step.within_g, 2)}`]), said.steps);
}
