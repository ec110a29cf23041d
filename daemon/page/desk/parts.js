// What several places are made of: tables, headings, texts of a day.

import { el } from "../draw.js";
import * as tell from "../tell.js";

/** The heading of a column of numbers. */
export const right = (title) => ({ title, right: true });

/** A line for what went wrong. */
export const alert = () => el("p", { class: "state", role: "alert" });

/** More columns than this do not stand side by side on a phone. */
const MANY = 4;

/** A table: `columns` are headings; a row is a list of texts or elements; `many` says that on a phone each row is a block. */
export function table(columns, rows, caption, many = columns.length > MANY) {
  const title = (place) => columns[place].title ?? columns[place];
  // What is said of a cell where there is no room for columns.
  const cell = (name, more) => (content, place) => el(name, { class: columns[place].right && "number", "data-title": name === "td" && place > 0 && content !== "" && title(place), ...more }, content);
  return el("div", { class: "wide", tabindex: "0", role: "region", "aria-label": caption },
    el("table", { class: many ? "list many" : "list" },
      caption && el("caption", {}, caption),
      el("thead", {}, el("tr", {}, ...columns.map((_, place) => cell("th", { scope: "col" })(title(place), place)))),
      el("tbody", {}, ...rows.map((row) => el("tr", {}, ...row.map(cell("td")))))));
}

/** A part with a heading, left out where there is nothing in it. */
export function part(title, ...children) {
  const there = children.flat().filter(Boolean);
  return there.length > 0 && el("section", {}, el("h2", {}, title), ...there);
}

export const list = (lines, kind = "") => lines.length > 0 && el("ul", { class: `lines ${kind}` }, ...lines.map((line) => el("li", {}, line)));

export const button = (text, onclick, more = {}) => el("button", { type: "button", onclick, ...more }, text);

/** A text of the service, marked where it is in its own language. */
export const told = ({ text, lang, help }) => el("span", { lang }, text, help && el("span", { class: "hint" }, help));

/** What was remarked on files, each with where it stands. */
export const remarks = (lines, words) => lines.map((line) => {
  const { text, lang, help } = tell.remark(line, words);
  return told({ text: `${line.file}, ${words.desk.editor.line(line.line)}: ${text}`, lang, help });
});

/** A field with its name. */
export const named = (title, field, kind) => el("label", { for: field.id, class: kind }, title, field);

/** Fields, and what is done with them by Enter or the button. */
export function form(title, fields, act, more = {}) {
  const made = el("form", { class: "row" }, ...fields, el("button", { type: "submit", ...more }, title));
  made.addEventListener("submit", (event) => { event.preventDefault(); act(); });
  return made;
}

/** Says in a line of the page why something was refused, and what to do. */
export const refused = (line, error, words) => line.replaceChildren(words.desk.failed(error.message), el("span", { class: "hint", lang: "en" }, error.hint ?? ""));

/** A button for what cannot be taken back: it asks once more, and the way back stands first. */
export function twice(text, question, keep, act) {
  const place = el("div", { class: "row" });
  const first = button(text, () => {
    const back = button(keep, () => { place.replaceChildren(first); first.focus(); });
    place.replaceChildren(el("div", { class: "row sure", role: "group", "aria-label": question }, el("p", {}, question), back, button(text, act)));
    back.focus();
  });
  place.append(first);
  return place;
}

/** What became of a jar. */
export const outcome = (line, said) => [...line.found, line.better_than && said.betterThan(line.better_than), line.note, ...line.pictures].filter(Boolean).join("; ");

/** A moment of the service, as it is said where this browser is. */
export function day(moment, words) {
  const date = new Date(moment);
  if (Number.isNaN(date.valueOf())) return moment;
  return date.toLocaleString(words.language, { dateStyle: "medium", timeStyle: "short" });
}
