// What the bench learnt from its own record: how much, from what, and whether it is used.

import { el, id } from "../draw.js";
import { ask } from "../service.js";
import { button, refused, twice } from "./parts.js";

/** Where that stands which a kind is compared with; when stop is said, it is the flow alone. */
const SAYS = { drop: "shelf", teaspoon: "shelf", tablespoon: "shelf", yield: "set" };

export async function fill(page, _of, { words, role }) {
  const said = words.desk.learning;
  const mayChange = role === "operator";
  const state = el("p", { class: "state", role: "status" });
  const shown = el("div", { class: "kinds" });

  /** Changes something of a kind; what is so from then on is shown, and one is where one was. */
  async function change(kind, method, path, message, news) {
    try {
      draw(await ask(method, `/v1/learnt/${path}`, message));
      state.textContent = news;
      id(kind).focus();
    } catch (error) {
      refused(state, error, words);
    }
  }

  const forget = (kind, text, of, name) => twice(text, said.sure(name), said.keep,
    () => change(kind, "POST", "forget", { kind, of }, said.forgotten(name)));

  function draw({ kinds }) {
    shown.replaceChildren(...kinds.map(({ kind, on, lines }) => {
      const [name, use] = said.kind[kind];
      return el("section", {},
        el("h2", { id: kind, tabindex: "-1" }, name),
        el("p", {}, `${use} `, !on && el("strong", {}, said.off)),
        lines.length > 0 ? el("ul", {}, ...subjects(kind, lines)) : el("p", { class: "hint" }, said.nothing),
        mayChange && el("div", { class: "row" },
          button(on ? said.switchOff : said.switchOn, () => change(kind, "PUT", kind, { on: !on }, `${name}: ${on ? said.off : said.on}`), { "aria-describedby": kind }),
          lines.length > 0 && forget(kind, said.forgetAll, null, name)));
    }));
  }

  /** Of an ingredient every hand's together: it is forgotten of all of them. */
  const subjects = (kind, lines) => [...new Set(lines.map((line) => line.of))].map((of) => {
    const mine = lines.filter((line) => line.of === of);
    const name = (mine[0].name ?? of) || said.allMixes;
    return el("li", {}, el("strong", {}, name), ...mine.map((line) => told(kind, line)),
      mayChange && forget(kind, said.forget, of, name));
  });

  function told(kind, line) {
    const measure = measured(line, words.figures);
    const against = line.default === null ? null : kind === "stop-lead" ? said.flow : said[SAYS[kind]]?.(measure(line.default));
    const side = kind === "stop-lead" ? line.value !== 0 && (line.value < 0 ? said.later : said.earlier) : said.kind[kind][2];
    return el("p", {}, line.hand && `${line.hand}: `, [measure(line.value), "±", measure(line.spread), side].filter(Boolean).join(" "), `, ${said.runs(line.runs)}`,
      el("span", { class: "hint" }, against ? said.compared(against, line.better && words.figures.percent(line.misses_percent / 100, 0)) : said.alone,
        line.used && el("strong", {}, ` ${said.used}`)));
  }

  draw(await ask("GET", "/v1/learnt"));
  page.append(el("h1", {}, words.desk.learnt), el("p", {}, said.whence), state, shown);
}

/** Writes figures as the files of a studio do: little in milligrams, thinner for 100 g of a mix. */
function measured({ unit, value }, figures) {
  const small = unit === "g" && Math.abs(value) < 0.1;
  const times = small ? 1000 : unit === "g/g" ? 100 : 1;
  const size = Math.abs(value) * times;
  const digits = size < 10 ? 2 : size < 100 ? 1 : 0;
  return (one) => figures.about(Math.abs(one) * times, digits, small ? "mg" : unit.split("/")[0]);
}
