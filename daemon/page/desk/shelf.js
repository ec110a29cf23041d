// The shelf: what is left of every pack, and what is worth a second look.

import { el } from "../draw.js";
import { ask } from "../service.js";
import * as folder from "./folder.js";
import * as tell from "../tell.js";
import { list, part, right, table, told } from "./parts.js";
import { address } from "./route.js";

export async function fill(page, _of, { words }) {
  const said = words.desk;
  const all = await folder.read();
  const { shelf, measures } = folder.texts(all);
  page.append(el("h1", {}, said.shelf));
  if (shelf === null) return page.append(el("p", {}, said.noShelf));
  const edit = el("a", { class: "button", href: address("recipes", "shelf") }, said.write);
  let stock;
  try {
    stock = await ask("POST", "/v1/shelf/stock", { shelf, measures });
  } catch (error) {
    return page.append(el("pre", { class: "problem", lang: "en" }, error.message), edit);
  }
  const g = (value) => words.figures.weighed(value, 1);
  const anyPacks = stock.ingredients.some((line) => line.packs.length > 0);
  const columns = [said.ingredient, right(said.left), ...(anyPacks ? [said.packs] : [])];
  page.append(...[
    part(said.look, list(stock.warnings.map((warning) => told(tell.onShelf(warning, said))), "warning")),
    table(columns, stock.ingredients.map((line) => [
      el("span", {}, line.name, line.cautions.length > 0 && el("span", { class: "hint caution" }, line.cautions.join(", "))),
      line.left_g === null ? "–" : g(line.left_g), ...(anyPacks ? [list(line.packs.map((pack) => said.pack(pack, g))) || ""] : []),
    ]), said.shelf), edit].filter(Boolean));
}
