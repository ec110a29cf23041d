// The recipe folder: what lies in it, and what is sent with each question about it.

import { ask } from "../service.js";

export const read = () => ask("GET", "/v1/folder");

export const file = (folder, stem) => folder.files.find((one) => one.stem === stem);

/** The texts of the folder as the service takes them; `draft` stands in for what is being written. */
export function texts(folder, draft) {
  const text = (one) => (draft?.stem === one.stem ? draft.text : one.text);
  const all = folder.files.map((one) => [one.stem, one.kind, text(one)]);
  const shelf = all.find(([, kind]) => kind === "shelf")?.[2] ?? null;
  const recipes = Object.fromEntries(all.filter(([, kind]) => kind === "recipe").map(([stem, , body]) => [stem, body]));
  return { recipes, shelf, measures: folder.measures };
}

/** Puts a text in the place of the one with that mark, or where none is. */
export const write = (stem, text, mark) => ask("PUT", `/v1/folder/${encodeURIComponent(stem)}`, { text },
  mark ? { "if-match": `"${mark}"` } : { "if-none-match": "*" });

/** Says what is wrong with a text that is being written: lines to go to, or one sentence. */
export async function check(folder, draft) {
  const { kind } = file(folder, draft.stem);
  if (kind === "set") {
    const { recipes, shelf, measures } = texts(folder);
    const plan = await ask("POST", "/v1/sets/plan", { set: draft.text, recipes, shelf, measures });
    return plan.diagnostics;
  }
  const { recipes, shelf, measures } = texts(folder, draft);
  const { diagnostics } = await ask("POST", "/v1/recipes/check", { recipes, shelf, measures });
  const name = `${draft.stem}.toml`;
  return diagnostics.filter((line) => line.file === name);
}
