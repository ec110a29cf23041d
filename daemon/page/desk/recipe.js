// One recipe: sized, mixed, and written.

import { el } from "../draw.js";
import { ask } from "../service.js";
import { editor } from "./editor.js";
import * as folder from "./folder.js";
import { button, list, part, table } from "./parts.js";
import { go } from "./route.js";

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
function sizing(all, file, { words, role, bench }) {
  const said = words.desk;
  const make = el("input", { id: "make", autocomplete: "off", placeholder: said.asWritten });
  const shown = el("div", { "aria-live": "polite" });
  const state = el("p", { class: "state", role: "alert" });
  const choices = {};

  const batch = () => ({
    recipe: file.stem, ...folder.texts(all), choices,
    size: make.value.trim() ? { make: make.value.trim() } : "as-written",
  });

  async function again() {
    try {
      const answer = await ask("POST", "/v1/recipes/size", batch());
      shown.replaceChildren(...[asked(answer.choices), steps(answer, words), el("p", { class: "total" }, words.total(words.figures.weighed(answer.total_g, 2))),
        part(said.look, list(answer.diagnostics.map((line) => el("span", { lang: "en" }, `${line.file}:${line.line}: ${line.message}`)), "warning"))].filter(Boolean));
    } catch (error) {
      shown.replaceChildren(el("pre", { class: "problem", lang: "en" }, error.message));
    }
  }

  const asked = (made) => made.length > 0 && el("div", { class: "row" }, ...made.map((choice) => {
    const picks = el("select", { id: `choice-${choice.name}` }, ...[choice.chosen, ...choice.others].map((one) => el("option", { value: one }, one)));
    picks.addEventListener("change", () => { choices[choice.name] = picks.value; again(); });
    return el("label", { for: `choice-${choice.name}` }, choice.name, picks);
  }));

  const begin = (way) => async () => {
    const wanted = { ...batch(), grow_by_percent: all.grow_by_percent };
    state.textContent = "";
    try {
      if (way === "mix") {
        await ask("POST", `/v1/benches/${encodeURIComponent(bench())}/batch`, wanted);
        go("bench");
      } else {
        const view = await ask("POST", "/v1/rehearsals", { batch: wanted });
        location.assign(`/?bench=${encodeURIComponent(view.bench)}#/bench`);
      }
    } catch (error) {
      state.replaceChildren(words.desk.failed(error.message), el("span", { class: "hint", lang: "en" }, error.hint ?? ""));
    }
  };

  make.addEventListener("change", again);
  again();
  return {
    again,
    shown: el("section", {}, el("label", { class: "ask", for: "make" }, said.make, make), shown,
      role === "operator" && el("div", { class: "row" }, button(said.mix, begin("mix"), { class: "first", disabled: !bench() }), button(said.rehearse, begin("rehearse"))), state),
  };
}

function steps(answer, words) {
  const said = words.desk;
  return table([{ title: said.step }, { title: "g", right: true }, { title: said.share, right: true }, { title: said.within, right: true }],
    answer.steps.map((step) => [
      step.kind === "add" && step.name ? [step.count, step.name].filter(Boolean).join(" ") : el("span", { lang: "en" }, step.text), step.grams === null ? "" : words.figures.grams(step.grams, 2),
      step.share === null ? "" : words.share(step.share), step.within_g === null ? "" : `± ${words.figures.grams(step.within_g, 2)}`]), said.steps);
}
