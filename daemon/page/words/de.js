// Alles, was die Seite sagt, auf Deutsch; dieselben Namen wie in en.js.

import { grams, percent } from "../figures.js";
import desk from "./desk-de.js";

const comma = (text) => String(text).replace(".", ",");

export default {
  language: "de", desk,
  codeAsked: "Code vom Rechner",
  letMeIn: "Einlassen",
  codeHint: "Am Rechner, der die Waage liest: tarehand page",
  codeRefused: "Das ist nicht der Code, oder er wurde zu oft versucht oder ist zu alt. Einen neuen gibt: tarehand page",
  notReached: "Der Dienst antwortet nicht.",

  ratio: "Verhältnis", asPlanned: "Rezept", asPoured: "Glas", steps: "Schritte", jars: "Gläser", concerns: "Vorher zu wissen",
  rehearsal: "Probe", nobody: "Kein Ansatz", beamSays: (net, target) => `${net} von ${target}`,

  scale: {
    none: "keine Waage", lost: "der Dienst antwortet nicht",
    old: (seconds) => `seit ${seconds} s kein Gewicht`, noWeight: { over: "zu schwer für die Waage", under: "unter null" },
    strange: "die Waage zeigt kein Gewicht",
  },

  doing: {
    nothing: () => "Es wird nichts gemischt. Eines der Rezepte wählen oder am Rechner beginnen: tarehand mix REZEPT",
    "clear-pan": () => "Die Schale leeren",
    "put-jar": () => "Das leere Glas auf die Schale stellen",
    "change-jar": (d) => (d.instead ? `${d.instead} herunternehmen, ${d.jar} aufstellen` : `${d.jar} auf die Schale stellen`),
    "confirm-jar": () => "Es steht etwas auf der Schale: ist es das leere Glas?",
    pour: (d, g) => `${d.ingredient} bis ${comma(g(d.target_g))} g`,
    count: (d) => `${d.ingredient}: ${d.count}`,
    "pour-between": (d, g) => `${d.ingredient}: ${comma(g(d.low_g))} bis ${comma(g(d.high_g))} g`,
    "pour-by-eye": (d) => (d.vessel ? `${d.vessel} ganz ins Glas leeren: ${d.ingredient}` : `${d.ingredient} nach Augenmaß`),
    stir: () => "Rühren",
    rest: () => "Ruhen lassen",
    strain: (d) => `Durch ${d.through} sieben`,
    look: (d) => `Ansehen: ${d.expect}`,
    trail: (d) => (d.wanted_s === null ? "Die Spur messen" : `Die Spur messen: ${comma(d.wanted_s)} s sind gewünscht`),
    thin: (d, g) => `Mit ${d.ingredient} verdünnen${d.splash_g ? `: jetzt ${comma(g(d.splash_g))} g` : ""}`,
    "take-out": (d, g) => `Gut rühren, dann ${comma(g(d.take_out_g))} g herausnehmen`,
    decant: (d, g) => (d.decant_g ? `${comma(g(d.decant_g))} g abgießen in ${d.into}` : `Alles abgießen in ${d.into}`),
    note: (d) => d.text,
    "jar-gone": () => "Das Glas zurück auf die Schale stellen",
    answer: () => "Eine Antwort wird gebraucht",
    paused: () => "Pause",
    complete: () => "Fertig",
    aborted: () => "Aufgegeben",
  },
  bottle: {
    "set-jar-aside": "Das Glas neben die Waage stellen", "take-away": "Die Flasche von der Schale nehmen",
    put: (what) => `Die Flasche mit ${what} auf die Schale stellen`, pour: "Aus der Flasche gießen, dort oder in der Hand",
    "in-hand": "Die Flasche zurück auf die Schale stellen",
  },
  toGo: (g) => `noch ${comma(g)} g`, tooMuch: (g) => `${comma(g)} g zu viel`, there: "erreicht",
  within: (g) => `auf ${comma(g)} g genau`,

  acts: {
    next: "Weiter", done: "Fertig", yes: "Ja", no: "Nein", undo: "Zurücknehmen", pause: "Pause", resume: "Weiter", skip: "Auslassen", back: "Zurück",
    "ran-out": "Ist leer", tared: "Waage wurde tariert", "trail-start": "Strich gezogen", "trail-stop": "Strich weg", abort: "Aufgeben",
    sure: "Diesen Ansatz aufgeben?", more: "Mehr", less: "Weniger",
  },
  refused: (why) => `Nicht angenommen: ${why}`,
  voice: "Stimme", tones: "Töne", language_: "English",
  verdict: { within: "genau", overshoot: "zu viel", shortfall: "zu wenig", recorded: "vermerkt", skipped: "ausgelassen" },
  status: { open: "offen", now: "jetzt", done: "fertig" },
  state: { idle: "wartet", running: "in Arbeit", held: "angehalten", paused: "Pause", complete: "fertig", aborted: "aufgegeben" },
  total: (g) => `${comma(g)} g insgesamt`,
  pours: (p) => `${comma(grams(p.grams, 2))} g ${p.ingredient}`,
  share: (s) => comma(percent(s)),
};
