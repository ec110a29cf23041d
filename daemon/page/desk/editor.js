// A text of the recipe folder being written: checked while it grows, saved where nobody was faster.

import { el } from "../draw.js";
import { button } from "./parts.js";
import * as tell from "../tell.js";
import * as folder from "./folder.js";

/** How long the hand rests before a text is checked, in milliseconds. */
const RESTS = 350;
/** A draft outlives a reload of the page, not the tab. */
const key = (stem) => `tarehand.draft.${stem}`;

/** Makes an editor of a file; `saved` is called with the file as it is then. */
export function editor(all, file, { words, role }, saved) {
  const said = words.desk.editor;
  const mayWrite = role === "operator";
  let known = file;
  const kept = JSON.parse(sessionStorage.getItem(key(file.stem)) ?? "null");
  const field = el("textarea", { id: "text", spellcheck: "false", autocapitalize: "off", autocomplete: "off", rows: "22",
    readonly: !mayWrite, "aria-describedby": "found" });
  field.value = kept?.text ?? file.text;
  const found = el("div", { id: "found", class: "found", "aria-live": "polite" });
  const state = el("p", { class: "state", role: "status" }, kept && kept.mark !== file.mark ? said.changed : "");
  const save = button(said.save, () => store(), { class: "first", id: "save" });
  const drop = button(said.drop, () => { field.value = known.text; written(); });
  const wrote = () => field.value !== known.text;

  function written() {
    save.disabled = drop.disabled = !wrote();
    if (wrote()) sessionStorage.setItem(key(file.stem), JSON.stringify({ text: field.value, mark: known.mark }));
    else sessionStorage.removeItem(key(file.stem));
  }

  let round = 0;
  async function check() {
    const mine = ++round;
    let lines, trouble;
    try {
      lines = await folder.check(all, { stem: file.stem, text: field.value });
    } catch (error) {
      trouble = error.message;
    }
    // Only the newest text's answer counts.
    if (mine !== round) return;
    found.replaceChildren(...(trouble ? [el("pre", { class: "problem", lang: "en" }, trouble)]
      : lines.length === 0 ? [el("p", { class: "good" }, said.good)] : [el("ul", { class: "lines" }, ...lines.map(line))]));
  }

  const line = (found) => {
    const { severity, line: number, column } = found;
    const { text, lang, help } = tell.remark(found, words);
    return el("li", { class: severity },
      button(`${said.severity[severity] ?? severity}, ${said.line(number)}`, () => goTo(number, column), { class: "goto" }),
      el("span", { lang }, ` ${text}`), help && el("span", { class: "hint", lang }, help));
  };

  function goTo(number, column) {
    const lines = field.value.split("\n");
    const at = lines.slice(0, number - 1).reduce((sum, text) => sum + text.length + 1, 0) + column - 1;
    field.focus();
    field.setSelectionRange(at, at + Math.max(1, (lines[number - 1] ?? "").length - column + 1));
  }

  async function store() {
    save.disabled = true;
    try {
      known = { ...known, ...await folder.write(file.stem, field.value, known.mark) };
      state.textContent = said.saved;
      Object.assign(folder.file(all, file.stem) ?? {}, known);
      saved?.(known);
    } catch (error) {
      state.textContent = error.status === 412 ? said.late : words.desk.failed(error.message);
    }
    written();
  }

  let rests;
  field.addEventListener("input", () => {
    state.textContent = "";
    written();
    clearTimeout(rests);
    rests = setTimeout(check, RESTS);
  });
  field.addEventListener("keydown", (event) => {
    if (event.key === "s" && (event.ctrlKey || event.metaKey)) {
      event.preventDefault();
      if (mayWrite && wrote()) store();
    }
  });
  written();
  check();
  return el("section", { class: "editor" }, el("h2", {}, el("label", { for: "text" }, `${file.stem}.toml`)),
    file.common && el("p", {}, said.common), field, mayWrite && el("div", { class: "row" }, save, drop), state, found);
}
