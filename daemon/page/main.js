// The bench page: hears what the service tells, shows it, and says what the person says.

import * as acts from "./acts.js";
import * as ask from "./ask.js";
import * as beam from "./beam.js";
import * as desk from "./desk/desk.js";
import { route } from "./desk/route.js";
import * as door from "./door.js";
import { places } from "./figures.js";
import * as jar from "./jar.js";
import * as keys from "./keys.js";
import * as lists from "./lists.js";
import * as pedal from "./pedal.js";
import * as now from "./now.js";
import * as ratio from "./ratio.js";
import * as service from "./service.js";
import * as tones from "./tones.js";
import * as voice from "./voice.js";
import * as tell from "./tell.js";
import { dots, el, id, put } from "./draw.js";

/** The tables of a language are fetched when somebody reads it; the first is that of everybody else. */
const LANGUAGES = { en: () => import("./words/en.js"), de: () => import("./words/de.js") };
const LANGUAGE = "tarehand.language";
/** A weight that is older than this is not shown as the weight now, in milliseconds. */
const STALE = 1500;
const BEFORE = ["clear-pan", "put-jar", "change-jar", "confirm-jar"];

/** The words of a language. */
const spoken = async (language) => (await (LANGUAGES[language] ?? LANGUAGES.en)()).default;

let words = await spoken(localStorage.getItem(LANGUAGE) ?? navigator.language.slice(0, 2));
/** The newest of each, and when it was heard by this machine's clock. */
let view = null, viewAt = 0, weight = null, weightAt = 0;
let reached = false, role = "operator", bench = null, refusal = null;
let lastCue = null, lastSaid = "";

const digits = () => {
  const scale = view?.weighed_on === "fine" ? view?.fine_scale : view?.scale;
  return places(scale?.division_g);
};

const at = (what) => `/v1/benches/${encodeURIComponent(bench)}/${what}`;

async function say(message) {
  refusal = null;
  try {
    await service.ask("POST", at("commands"), message);
  } catch (error) {
    refusal = error;
    health();
  }
}

/** How old the weight is; it may have been old when it was sent. */
const age = () => (weight ? performance.now() - weightAt + weight.age_ms : Infinity);

function health() {
  const [bad, { text, lang, more }] = condition();
  const field = id("health");
  field.classList.toggle("bad", bad);
  put(field, text, lang);
  put(id("more"), more ?? "", "en");
}

function condition() {
  if (refusal) return [true, tell.refusal(refusal, words)];
  const old = age();
  // The weight still stands there in grey, so how old it is is said whatever else is wrong.
  const since = old > STALE && Number.isFinite(old) ? words.scale.old(Math.floor(old / 1000)) : null;
  const aged = (told) => [true, { ...told, text: dots(told.text, since) }];
  if (!reached) return aged({ text: words.scale.lost });
  const scale = view?.weighed_on === "fine" ? view.fine_scale : view?.scale;
  if (view?.trouble) return [true, tell.trouble(view, words)];
  if (!scale) return [true, { text: words.scale.none }];
  if (scale.trouble) return aged(tell.trouble(scale, words));
  if (old > STALE) return [true, { text: since ?? words.scale.strange }];
  if (weight.gross_g === null) return [true, { text: words.scale.noWeight[weight.state] ?? words.scale.strange }];
  return [false, { text: scale.device }];
}

/** Draws what changes with each weight and each tick of a timer. */
function live() {
  if (!view) return;
  const stale = !reached || age() > STALE;
  document.body.classList.toggle("stale", stale);
  const rest = now.show(view, weight, performance.now() - viewAt, digits(), words);
  if (!stale && weight?.flow_g_s > 0.05 && rest.near > 0) tones.pouring(rest.near, performance.now());
  health();
}

/** Draws what changes with a view. */
function whole() {
  id("bench").classList.remove("bare");
  id("bench").classList.toggle("idle", view.steps.length === 0);
  // What is to be known before stands first, until the jar is on the pan.
  id("bench").classList.toggle("before", BEFORE.includes(view.doing.what));
  document.documentElement.lang = words.language;
  desk.ways(words, Boolean(view.question));
  if (route().place === "bench") document.title = view.recipe ? `${view.recipe} – Tarehand` : "Tarehand";
  put(id("recipe"), dots(view.set, view.recipe ?? words.nobody, view.rehearsal && words.rehearsal));
  const saying = now.saying(view, digits(), words);
  put(id("saying"), saying);
  put(id("aside"), now.aside(view, digits(), words));
  for (const title of ["ratio", "jars", "steps", "concerns"]) put(id(`${title}-title`), words[title]);
  lists.steps(view, digits(), words);
  lists.jars(view, digits(), words);
  lists.concerns(view, words);
  ratio.show(view.steps, weight, words);
  ask.show(view, words, say);
  jar.show(words);
  if (role === "operator") acts.show(view, words, say);
  hear(saying);
  live();
}

/** Says aloud what is new: a question, else the cue, and then what is to be done. */
function hear(saying) {
  const fresh = lastCue !== null && view.cue && view.cue.number !== lastCue;
  lastCue = view.cue?.number ?? 0;
  if (fresh) tones.sound({ stop: "stop", asks: "over" }[view.cue.cue] ?? (view.doing.what === "complete" ? "done" : ""));
  const told = view.question ? tell.question(view.question, words) : saying;
  // What begins and what is asked is told by the words of what is to be done.
  const news = fresh && !["begin", "asks", "asks-for-jar", "jars-turn"].includes(view.cue.cue) && tell.cue(view.cue, words);
  if (news || told !== lastSaid) voice.say([news, told !== lastSaid && told].filter(Boolean).join(". "), words.language);
  lastSaid = told;
}

function choices() {
  const toggle = (name, text, kept) => {
    const button = el("button", { type: "button", id: name, "aria-pressed": String(kept.on()) }, text);
    button.addEventListener("click", () => { kept.set(!kept.on()); button.setAttribute("aria-pressed", String(kept.on())); });
    return button;
  };
  const other = Object.keys(LANGUAGES).find((one) => one !== words.language);
  const language = el("button", { type: "button", lang: other, onclick: async () => {
    words = await spoken(other);
    localStorage.setItem(LANGUAGE, other);
    choices();
    place();
    if (view) whole();
  } }, words.language_);
  id("choices").replaceChildren(...[voice.can() && toggle("voice", words.voice, voice), toggle("tones", words.tones, tones), role === "operator" && pedal.button(words), language].filter(Boolean));
}

function heard(name, message) {
  if (name === "view") {
    view = message;
    viewAt = performance.now();
    whole();
  } else if (name === "weight") {
    weight = message;
    weightAt = performance.now();
    live();
  }
  jar.look(view, weight, () => service.ask("GET", at("jar")), words);
}

/** Shows what the address says: the bench, or a place of the desk. */
function place() {
  desk.ways(words, Boolean(view?.question));
  desk.show({ words, role, bench: () => bench });
}

function state(name) {
  reached = name === "open";
  if (name === "refused") {
    door.forget();
    location.reload();
  }
  live();
  health();
}

/** The bench of the address, else the one with a batch, else the first there is; waits for one. */
async function findBench() {
  const named = new URLSearchParams(location.search).get("bench");
  for (;;) {
    try {
      const { benches } = await service.ask("GET", "/v1/status");
      const found = benches.find((one) => one.name === named) ?? benches.find((one) => one.batch) ?? benches[0];
      if (found) return found.name;
      reached = true;
      put(id("saying"), words.doing.nothing());
      put(id("aside"), words.howToBegin);
      health();
    } catch (error) {
      if (error.status === 401) {
        door.forget();
        return location.reload();
      }
      reached = false;
      health();
    }
    await new Promise((later) => setTimeout(later, 1000));
  }
}

async function begin() {
  document.documentElement.lang = words.language;
  // A code in the address is a new invitation, whatever was known before.
  if (!door.secret() || /^#\d{6}$/.test(location.hash)) await door.enter(words);
  put(id("recipe"), words.nobody);
  beam.build();
  choices();
  voice.look().then(choices);
  role = (await service.ask("GET", "/v1/page/me").catch(() => ({ role: "operator" }))).role;
  choices();
  id("top").hidden = false;
  place();
  addEventListener("hashchange", place);
  bench = await findBench();
  if (role === "operator") keys.begin(() => view, say);
  setInterval(() => {
    live();
    if (view) ratio.show(view.steps, weight, words);
  }, 250);
  service.listen(at("events"), heard, state);
}

begin();
