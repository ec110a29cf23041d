// The recipe folder: recipes, sets and the shelf; and beginning a new one.

import { el } from "../draw.js";
import * as folder from "./folder.js";
import { list, part } from "./parts.js";
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

function begin(said, words) {
  const name = el("input", { id: "new-name", required: true, maxlength: "60" });
  const kind = el("select", { id: "new-kind" }, ...["recipe", "set"].map((one) => el("option", { value: one }, said.kinds[one])));
  const state = el("p", { class: "state", role: "alert" });
  const form = el("form", { class: "row" },
    el("label", { for: "new-name" }, said.newName, name), el("label", { for: "new-kind" }, said.newKind, kind),
    el("button", { type: "submit" }, said.begin));
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const stem = name.value.trim().toLowerCase().replaceAll(/[^\p{L}\p{N}]+/gu, "-").replaceAll(/^-|-$/g, "");
    try {
      await folder.write(stem, said.template[kind.value](JSON.stringify(name.value.trim())), null);
      go(kind.value === "set" ? "plan" : "recipes", stem);
    } catch (error) {
      state.textContent = error.status === 412 ? said.there(`${stem}.toml`) : words.desk.failed(error.message);
    }
  });
  return el("section", {}, el("h2", {}, said.beginNew), form, state);
}
