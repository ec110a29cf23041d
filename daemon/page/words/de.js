// Alles, was die Seite sagt, auf Deutsch; dieselben Namen wie in en.js.

import { figures } from "../figures.js";
import told from "./de-told.js";

const f = figures(",");

export default {
  figures: f,
  ...told(f),
  language: "de",
  codeAsked: "Code vom Rechner",
  letMeIn: "Einlassen",
  codeHint: "Am Rechner, der die Waage liest: tarehand page",
  codeRefused: "Das ist nicht der Code, oder er wurde zu oft versucht oder ist zu alt. Einen neuen gibt: tarehand page",
  notReached: "Der Dienst antwortet nicht.",

  // Die Wege zum Schreibtisch; was er sagt, ist eine Tabelle für sich, die mit ihm geholt wird.
  desk: {
    places: "Orte", bench: "Waage", recipes: "Rezepte", shelf: "Regal", history: "Protokoll", plan: "Plan", compare: "Nebeneinander", learnt: "Was die Waage gelernt hat",
    failed: (why) => `Das ging nicht: ${why}`,
  },

  ratio: "Verhältnis", asPlanned: "Rezept", asPoured: "Glas", steps: "Schritte", jars: "Gläser", concerns: "Vorher zu wissen",
  rehearsal: "Probe", nobody: "Kein Ansatz", beamSays: (net, target) => `${net} von ${target}`,

  scale: {
    none: "keine Waage", lost: "der Dienst antwortet nicht",
    old: (seconds) => `seit ${f.seconds(seconds)} kein Gewicht`, noWeight: { over: "zu schwer für die Waage", under: "unter null" },
    strange: "die Waage zeigt kein Gewicht",
  },

  doing: {
    nothing: () => "Es wird nichts gemischt",
    "clear-pan": () => "Die Schale leeren",
    "put-jar": () => "Das leere Glas auf die Schale stellen",
    "change-jar": (d) => (d.instead ? `${d.instead} herunternehmen, ${d.jar} aufstellen` : `${d.jar} auf die Schale stellen`),
    "confirm-jar": () => "Es steht etwas auf der Schale: ist es das leere Glas?",
    pour: (d, g) => `${d.ingredient} bis ${g(d.target_g)}`,
    count: (d, g, count) => `${d.ingredient}: ${count}`,
    "pour-between": (d, g) => `${d.ingredient}: ${g(d.low_g)} bis ${g(d.high_g)}`,
    "pour-by-eye": (d) => (d.vessel ? `${d.vessel} ganz ins Glas leeren: ${d.ingredient}` : `${d.ingredient} nach Augenmaß`),
    stir: () => "Rühren",
    rest: () => "Ruhen lassen",
    strain: (d) => `Durch ${d.through} sieben`,
    look: (d) => `Ansehen: ${d.expect}`,
    trail: (d) => (d.wanted_s === null ? "Die Spur messen" : `Die Spur messen: ${f.seconds(d.wanted_s)} sind gewünscht`),
    thin: (d, g) => `Mit ${d.ingredient} verdünnen${d.splash_g ? `: jetzt ${g(d.splash_g)}` : ""}`,
    "take-out": (d, g) => `Gut rühren, dann ${g(d.take_out_g)} herausnehmen`,
    decant: (d, g) => (d.decant_g ? `${g(d.decant_g)} abgießen in ${d.into}` : `Alles abgießen in ${d.into}`),
    note: (d) => d.text,
    "jar-gone": () => "Das Glas zurück auf die Schale stellen",
    answer: () => "Eine Antwort wird gebraucht",
    paused: () => "Pause",
    complete: () => "Fertig",
    aborted: () => "Aufgegeben",
  },
  howToBegin: "Eines der Rezepte wählen oder am Rechner beginnen: tarehand mix REZEPT",
  bottle: {
    "set-jar-aside": "Das Glas neben die Waage stellen", "take-away": "Die Flasche von der Schale nehmen",
    put: (what) => `Die Flasche mit ${what} auf die Schale stellen`, pour: "Aus der Flasche gießen, dort oder in der Hand",
    "in-hand": "Die Flasche zurück auf die Schale stellen",
  },
  toGo: (g) => `noch ${g}`, tooMuch: (g) => `${g} zu viel`, there: "erreicht",
  within: (g) => `auf ${g} genau`,

  acts: {
    next: "Weiter", done: "Fertig", yes: "Ja", no: "Nein", undo: "Zurücknehmen", pause: "Pause", resume: "Weiter", skip: "Auslassen", back: "Zurück",
    "ran-out": "Ist leer", tared: "Waage wurde tariert", "trail-start": "Strich gezogen", "trail-stop": "Strich weg", abort: "Aufgeben",
    sure: "Diesen Ansatz aufgeben?", more: "Mehr", less: "Weniger",
  },
  taps: (once, twice) => (twice ? `oder auf die Schale tippen: einmal „${once}“, zweimal „${twice}“` : `oder einmal auf die Schale tippen: „${once}“`),
  waysOut: "Auswege",
  wayOf: (number) => `Nummer ${number}`,
  pedal: { name: "Pedal", next: "Taste für Weiter drücken", undo: "Taste für Zurücknehmen drücken" },
  jarIs: (names) => (names.length === 1 ? `Das ist das Glas mit ${names[0]}` : `Das ist das Glas mit ${names.join(" oder ")}: sie wiegen zu ähnlich`),
  onPan: "auf der Schale",
  refused: (why) => (why ? `Nicht angenommen: ${why}` : "Nicht angenommen"),
  voice: "Stimme", tones: "Töne", language_: "English",
  verdict: { within: "genau", overshoot: "zu viel", shortfall: "zu wenig", recorded: "vermerkt", skipped: "ausgelassen" },
  status: { open: "offen", now: "jetzt", done: "fertig" },
  state: { idle: "wartet", running: "in Arbeit", held: "angehalten", paused: "Pause", complete: "fertig", aborted: "aufgegeben" },
  hardens: (minutes) => (minutes > 0 ? `noch ${minutes}\u00a0min zu verarbeiten` : "härtet aus: nicht mehr verarbeiten"),
  allOnPan: "Die Zahl ist alles, was auf der Schale steht, samt Glas",
  total: (g) => `${g} insgesamt`,
  pours: (p) => `${f.mass(p.grams)} ${p.ingredient}`,
  share: f.share,
};
