// What several places are made of: tables, headings, texts of a day.

import { el } from "../draw.js";

/** A table: `columns` are headings, a number's with `right`; a row is a list of texts or elements. */
export function table(columns, rows, caption) {
  const cell = (name, more) => (content, place) => el(name, { class: columns[place].right && "number", ...more }, content);
  return el("div", { class: "wide", tabindex: "0", role: "region", "aria-label": caption },
    el("table", { class: "list" },
      caption && el("caption", {}, caption),
      el("thead", {}, el("tr", {}, ...columns.map(({ title }, place) => cell("th", { scope: "col" })(title, place)))),
      el("tbody", {}, ...rows.map((row) => el("tr", {}, ...row.map(cell("td")))))));
}

/** A part with a heading, left out where there is nothing in it. */
export function part(title, ...children) {
  const there = children.flat().filter(Boolean);
  return there.length > 0 && el("section", {}, el("h2", {}, title), ...there);
}

export const list = (lines, kind = "") => lines.length > 0 && el("ul", { class: `lines ${kind}` }, ...lines.map((line) => el("li", {}, line)));

export const button = (text, onclick, more = {}) => el("button", { type: "button", onclick, ...more }, text);

/** A moment of the service, as it is said where this browser is. */
export function day(moment, words) {
  const date = new Date(moment);
  if (Number.isNaN(date.valueOf())) return moment;
  return date.toLocaleString(words.language, { dateStyle: "medium", timeStyle: "short" });
}
