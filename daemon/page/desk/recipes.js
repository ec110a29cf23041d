// The recipe folder: recipes, sets and the shelf; and beginning a new one.

import { el } from "../draw.js";
import * as folder from "./folder.js";
import { alert, form, list, named, part } from "./parts.js";
import { address, go } from "./route.js";

export async function fill(page, _of, about) {
  const { words, role } = about;
  const said = words.desk;
  const all = await folder.read();
  const kind = (wanted) => all.files.filter((file) => file.kind === wanted);
  const link = (place) => (file) => el("a", { class: "card", href: address(place, file.stem) },
    el("strong", {}, file.name ?? file.stem), el("span", {}, `${file.stem}.toml`));
  const cards = (files, place) => files.length > 0 && el("div", { class: "cards" }, ...files.map(link(place)));
  page.append(...[
    el("h1", {}, said.recipes), el("p", {}, all.path),
    part(said.recipes, cards(kind("recipe"), "recipes") || el("p", {}, said.noRecipes)),
    part(said.sets, cards(kind("set"), "plan")),
    part(said.leftOut, list(all.left_out.map((left) => `${left.file}: ${left.why}`))),
    role === "operator" && begin(said, words)].filter(Boolean));
}

/** What a new file begins as. */
const template = (kind, name, { first, second, recipe }) => (kind === "set"
  ? `[set]\nname  = ${name}\nspare = "10 %"\n\n[[surface]]\nwidth  = "30 cm"\nheight = "40 cm"\n\n[[jar]]\nrecipe = "${recipe}"\nshare  = "1 part"\n`
  : `[recipe]\nname   = ${name}\nmakes  = "100 g"\nwithin = "2 %"\n\n[[step]]\nadd    = "${first}"\namount = "70 parts"\n\n[[step]]\nadd    = "${second}"\namount = "30 parts"\n`);

function begin(said, words) {
  const name = el("input", { id: "new-name", required: true, maxlength: "60" });
  const kind = el("select", { id: "new-kind" }, ...["recipe", "set"].map((one) => el("option", { value: one }, said.kinds[one])));
  const state = alert();
  const made = form(said.begin, [named(said.newName, name), named(said.newKind, kind)], async () => {
    const stem = name.value.trim().toLowerCase().replaceAll(/[^\p{L}\p{N}]+/gu, "-").replaceAll(/^-|-$/g, "");
    try {
      await folder.write(stem, template(kind.value, JSON.stringify(name.value.trim()), said.template), null);
      go(kind.value === "set" ? "plan" : "recipes", stem);
    } catch (error) {
      state.textContent = error.status === 412 ? said.there(`${stem}.toml`) : words.desk.failed(error.message);
    }
  });
  return el("section", {}, el("h2", {}, said.beginNew), made, state);
}
