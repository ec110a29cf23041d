// A finished jar: what is in it now, what changed it, and what can be done with it again.

import { el } from "../draw.js";
import * as tell from "../tell.js";
import * as begin from "./begin.js";
import * as folder from "./folder.js";
import { alert, button, day, form, list, named, part, right, table } from "./parts.js";
import { address } from "./route.js";

/** How much more is in it, or less. */
export const change = (mass_g, g) => `${mass_g > 0 ? "+" : ""}${g(mass_g)}`;

/** What is in it now, what it cost, and what came in or went out since it was made. */
export function now(batch, g, words) {
  const said = words.desk;
  const { now: jar } = batch;
  const again = batch.opened_again;
  if (!jar) return again && el("p", {}, el("a", { href: address("history", again.jar) }, `${said.reopened(again)}: ${change(again.mass_g, g)}`));
  const lots = (line) => line.lots.map((lot) => said.ofLot(g(lot.mass_g), lot.lot)).join(", ");
  const money = jar.cost.map((one) => said.costs(`${words.figures.grams(one.money, 2)} ${one.currency ?? ""}`.trim(), words.figures.grams(one.per_g, 4)));
  return [
    part(said.now(g(jar.mass_g)), table(
      [said.ingredient, right(said.amount), right(said.share), said.lots],
      jar.contents.map((line) => [line.name, g(line.mass_g), words.share(line.share), lots(line)]), said.inJar, true),
    money.length > 0 && el("p", {}, money.join("; "), jar.unpriced_g > 0 && ` (${said.unpriced(g(jar.unpriced_g))})`)),
    part(said.since, list(batch.amendments.map((line) => el("a", { href: address("history", line.batch) },
      `${day(line.at, words)}: ${change(line.mass_g, g)} ${said.whither(line)}`, line.unseen && ` (${said.unseen})`)))),
  ];
}

/** The ways out that were taken, with those that were offered. */
export const rescues = (batch, words) => part(words.desk.rescues, list(batch.rescues.map((one) => el("span", {},
  `${day(one.at, words)}: ${tell.way(one, one, batch.planned_g, words)}`,
  list(one.others.map((other) => `${tell.way(other, one, batch.planned_g, words)}${other.why_not ? ` (${tell.whyNot(other, words)})` : ""}`))))));

/** What can be done with the jar at the bench: each opens a batch there. */
export function again(batch, about) {
  const said = about.words.desk;
  const state = alert();
  const open = (what, message) => begin.open(what, begin.by(message), about, state);
  // Without a folder the service knows the ingredients by their keys alone.
  const owner = async () => folder.read().then((all) => ({ ...folder.texts(all), grow_by_percent: all.grow_by_percent }), () => ({ shelf: null, measures: {} }));
  const field = (name, title, more = {}) => named(title, el("input", { id: name, maxlength: "80", autocomplete: "off", ...more }));
  const value = (name) => document.getElementById(name).value.trim();
  const act = (title, fields, done) => form(title, fields, done, { disabled: !about.bench() });
  const mass = (name) => value(name) || null;
  const jar = batch.now && batch.now.mass_g > 0 && !batch.rehearsal;
  return part(said.again, (jar || !batch.amends) && begin.hand(about.words),
    jar && act(said.amend, [field("add-what", said.ingredient, { required: true }), field("add-mass", said.amount, { required: true, placeholder: "0.4 g" })], async () => {
      const { shelf: text, measures } = await owner();
      open("amend", { marks: [batch.mark], add: [{ ingredient: value("add-what"), amount: value("add-mass") }], shelf: text, measures });
    }),
    jar && act(said.join, [field("join-into", said.intoJar, { required: true }), field("join-mass", said.orAll)],
      () => open("join", { from: batch.mark, into: value("join-into"), mass: mass("join-mass") })),
    jar && act(said.takeOut, [field("out-into", said.intoCup), field("out-mass", said.orAll)],
      () => open("take-out", { from: batch.mark, into: mass("out-into"), mass: mass("out-mass") })),
    !batch.amends && el("div", { class: "row" }, ...[false, true].map((asPoured) => button(asPoured ? said.repeatPoured : said.repeat, async () => {
      const { shelf: text, measures, grow_by_percent } = await owner();
      open("repeat", { mark: batch.mark, as_poured: asPoured, shelf: text, measures, grow_by_percent });
    }, { disabled: !about.bench() }))),
    state);
}
