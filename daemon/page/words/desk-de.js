// Was der Schreibtisch sagt, auf Deutsch.

import { figures } from "../figures.js";
import { unsettled, watered } from "./de-told.js";

const f = figures(",");
const g = f.mass;
const line = (...texts) => texts.filter(Boolean).join(", ");
const spoon = "Rat: der Löffel der Zutat im Regal.";

const practice = "übliche Praxis";
const dried = { clear: "klar", cloudy: "trüb", tacky: "klebrig", crazed: "rissig" };

const seen = { unseen: "ungesehen", "in-hand": "in der Hand", told: "wie gesagt" };
const weighed = { bottle: "aus der Flasche", jar: "im Glas", fine: "auf der feineren Waage" };
const change = { residue: "Rest oder Stab", "taken-out": "herausgenommen oder verschüttet", foreign: "gehört nicht dazu" };
const asked = {
  overshoot: "zu viel", "ran-out": "nichts mehr da", "taken-out": "Verhältnis verloren", "too-thin": "zu dünn", "poured-unseen": "ungesehen gegossen?",
  "added-in-hand": "in der Hand zugegeben?", lighter: "leichter", "bottle-lighter": "Flasche leichter?", "zero-lost": "Null verloren?",
};
const rescued = {
  "top-up-exact": "gerettet, Verhältnis stimmt", "top-up-least": "gerettet, genau genug", "make-less": "weniger gemacht", accept: "so gelassen",
  unthinned: "zu dünn, mehr Mischung ohne Verdünner", "ready-made": "zu dünn, mehr Mischung aus einem anderen Glas",
};
const zero = { "tare-key": "die Waage wurde tariert", "empty-pan": "das ist die leere Schale", power: "die Waage hat neu begonnen; was seither gegossen wurde, weiß niemand" };
const place = { jar: "ins Glas ", cup: "in ", shelf: "ins Regal als ", waste: "herausgenommen" };
const pours = (e) => line(...e.pours.map((p) => `${g(p.grams)} ${p.ingredient}`));
const moved = (e) => `von ${g(e.before_g)} auf ${g(e.after_g)}`;
const by = (e) => (e.by_limit ? "innerhalb der Grenzen" : "vom Menschen gewählt");
const about = {
  name: "Name", made: "Datum, Gewicht und Spur", cautions: "Warnungen", keeps: "Haltbarkeit", contents: "Inhalt", beside: "Zutaten neben dem Verhältnis", premix: "Vormischungen",
};
const abouts = (r) => line(...r.about.map((word) => about[word]));

export default {
  batch: "Ansatz", recipe: "Rezept", began: "Begonnen", outcome: "Ausgang", inJar: "Jetzt im Glas",
  find: "Rezept, Zutat, Los, Bemerkung oder Zeichen", noBatches: "Es wurde kein Ansatz gefunden.",
  cameOut: "Was daraus wurde", betterThan: (mark) => `besser als ${mark}`, foundWords: "Was zu sehen war; in kurzen Worten", better: "Besser als der Ansatz", add: "Hinzufügen",
  weight: "Das Gewicht im Lauf der Zeit", weightOf: (recipe) => `Gewicht im Lauf der Zeit von ${recipe}, mit den Schritten`,
  label: "Etikett", onLabel: "Auf dem Etikett ist nicht alles, wie es soll:", jarWeighs: (g) => `Leeres Glas ${g}`, scaleOf: (g) => `Waage mit Teilung ${g}`, contents: "Wie gemischt", shares: "Verhältnis", ingredient: "Zutat", planned: "Geplant", poured: "Gegossen",
  unseen: "Ungesehen", pouredInto: "Weitergegossen in", entries: "Alles, was geschah", count: (n) => `${n} Einträge`,

  now: (g) => `Jetzt im Glas: ${g}`, lots: "Lose", ofLot: (g, lot) => `${g} aus Los ${lot}`, costs: (money, each) => `kostete ${money}, ${each} je Gramm`,
  unpriced: (g) => `ohne ${g} mit unbekanntem Preis`, since: "Seit es fertig ist",
  reopened: ({ how, what, recipe, jar }) => ({ added: `${line(...what)} in ${recipe}, ${jar} gegeben`, joined: `${line(...what)} in ${recipe}, ${jar} gegossen` })[how]
    ?? `Aus ${recipe}, ${jar} entnommen${what.length ? `: ${line(...what)}` : ""}`,
  whither: (a) => (a.shelf ? place.shelf + a.shelf : change[a.cause] ?? a.what),
  rescues: "Gerettet", again: "Noch einmal an den Platz", amend: "In das Glas geben", join: "In jenes Glas gießen", takeOut: "Herausnehmen",
  intoJar: "In das Glas des Ansatzes", intoCup: "Wohinein; leer: weg", orAll: "Wie viel; leer: alles", repeat: "Noch einmal machen", repeatPoured: "Noch einmal, wie gegossen",
  recipeFile: (file) => (file.changed ? `${file.file} wurde seither geändert` : `${file.file} ist noch dieselbe`),

  beside: "Neben dem Ansatz", room: "Raum", sameText: (same) => `Nach ${same ? "demselben Rezepttext" : "verschiedenen Rezepttexten"} gemacht.`,

  learning: {
    whence: "Es folgt aus dem Protokoll; Proben lehren nichts. Hinter ± steht, wie weit einzelne Male davon abliegen.",
    kind: {
      "stop-lead": ["Wann Stopp gesagt wird", "So viel früher oder später wird Stopp gesagt, je Zutat und Hand."],
      drop: ["Was ein Tropfen wiegt", "Rat: der Tropfen der Zutat im Regal."], teaspoon: ["Was ein Teelöffel wiegt", spoon], tablespoon: ["Was ein Esslöffel wiegt", spoon],
      thinner: ["Verdünner für eine Mischung", "Rat: damit das Verdünnen beginnen.", "auf 100 g Mischung"], stick: ["Was der Stab mitnimmt", "Rat: so viel mehr mischen.", "jedes Mal"],
      yield: ["Was eine Fläche braucht", "Rat: der Bedarf (yield) des Satzes.", "auf einen Quadratmeter"],
    },
    earlier: "früher", later: "später", runs: (n) => `aus ${n} Mal`,
    flow: "dem Fluss allein", shelf: (figure) => `${figure}, wie das Regal sagt`, set: (figure) => `${figure}, wie der Satz sagt`,
    compared: (what, percent) => `Verglichen mit ${what}: ${percent ? `wo es noch nichts davon wusste, lag es nur zu ${percent} so weit daneben` : "bisher nicht besser"}.`,
    alone: "Dazu gibt es keinen Vergleich.", used: "Der nächste Ansatz nutzt es.", allMixes: "Alle Mischungen", nothing: "Noch ist nichts bekannt.",
    on: "Es ist an.", off: "Es ist aus.", switchOn: "Einschalten", switchOff: "Ausschalten", forget: "Vergessen", forgetAll: "Alles vergessen", keep: "Behalten",
    sure: (what) => `${what} vergessen? Was bis jetzt war, zählt dann nicht mehr; das Protokoll bleibt.`, forgotten: (what) => `${what}: vergessen.`,
  },

  happened: {
    "fine-lost": "die feinere Waage war weg", "fine-back": "die feinere Waage war wieder da",
    "fine-cleared": "auf der feineren Waage steht etwas anderes, nichts gegossen", "jar-set-aside": "das Glas steht neben der Waage",
    "jar-returned": "das Glas ist von dort zurück", "bottle-lifted": "die Flasche wurde abgehoben", "bottle-back": "die Flasche ist zurück",
    undone: "zurückgenommen", paused: "Pause", resumed: "weiter", "jar-back": "das Glas ist zurück", "jar-mistaken": "das war ein anderes Glas",
    "scale-lost": "die Waage war weg", "scale-back": "die Waage war wieder da", completed: "fertig", aborted: "aufgegeben",
    opened: (e) => `begonnen: ${e.recipe}, ${g(e.planned_g)}${e.learnt.length ? `; Stopp kommt wie gelernt bei ${line(...e.learnt)}` : ""}`,
    "scale-known": (e) => (e.division_g ? `die Waage zählt in Schritten von ${f.whole(e.division_g)}` : "die Waage ist bekannt"),
    "jar-placed": (e) => line(`Glas auf der Schale, ${g(e.jar_g)}`, e.off_g && `${g(Math.abs(e.off_g))} ${e.off_g < 0 ? "weniger" : "mehr"}, als vermerkt ist`),
    began: (e, s) => `jetzt: ${s}`, poured: (e, s) => line(`gegossen: ${g(e.poured_g)} ${s}`, seen[e.seen]),
    "poured-out": (e, s) => line(`aus der Flasche: ${g(e.poured_g)} ${s}`, e.seen !== "in-hand" && seen[e.seen]),
    filled: (e, s) => `in den Becher: ${g(e.filled_g)} ${s}`, "laid-on": (e) => `${g(e.laid_g)} neben die Flasche gelegt, nichts gegossen`,
    "weigh-chosen": (e) => `gewogen wird ${weighed[e.weigh]}`,
    "weigh-fits": (e, s) => `${s}: gewogen wird ${weighed[e.weigh]}, die ${e.weigh === "fine" ? "des Glases ist zu grob" : "feinere Waage ist weg"}`,
    "fine-known": (e) => (e.there ? `eine feinere Waage${e.division_g ? ` mit ${g(e.division_g)}` : ""} steht bereit` : "keine feinere Waage mehr"),
    "fine-zero-moved": (e) => `die Null der feineren Waage ging ${moved(e)}`,
    "jar-compared": (e) => `die Waage des Glases stimmt zu: ${g(e.after_g)} statt ${g(e.before_g)}`,
    "bottle-placed": (e, s) => `eine Flasche ${s}, ${g(e.bottle_g)}`, changed: (e) => `${g(e.by_g)} ${change[e.cause]}`,
    decanted: (e) => (e.into && e.decanted_g < 0 ? `${g(-e.decanted_g)} zurück aus ${e.into}` : `${g(e.decanted_g)} abgegossen${e.into ? ` in ${e.into}` : ""}`),
    judged: (e, s, t, { verdict }) => `${verdict[e.verdict]}: ${s}${e.within_g === null ? "" : ` ${g(e.poured_g)} von ${g(e.target_g)}, ± ${g(e.within_g)}`}`,
    asked: (e) => `angehalten: ${asked[e.slip ?? e.about]}`,
    answered: (e) => `Antwort: ${e.option === null ? (e.yes ? "ja" : "nein") : `Ausweg ${e.option}`}, ${by(e)}`,
    rescued: (e) => (e.kind === "take-out" ? `gerettet: ${g(e.take_out_g)} herauszunehmen (${by(e)})`
      : `${rescued[e.kind]}: ${line(`${g(e.total_g)} insgesamt`, e.pours.length > 0 && `es kommen noch ${pours(e)}`)} (${by(e)})`),
    "ran-out": (e, s) => `nichts mehr da: ${s}`, "was-other": (e, _, t) => `die ${g(e.mass_g)} ${t(e.from)} waren ${t(e.to)}`,
    "went-back": (e, s) => `zurück zu: ${s}`, "load-gone": (e) => `das Gewicht ist weg, die Waage zeigt ${g(e.shows_g)}`,
    "zero-moved": (e) => `die Null ging ${moved(e)}: ${zero[e.cause]}`,
    trail: (e) => line(`Spur ${f.seconds(e.seconds)}`, e.tapped && "mit Tippen gemessen", e.total_g !== null && `${g(e.thinner_g)} Verdünner in ${g(e.total_g)}`),
    "thinning-known": (e) => `bekannt ist, was Verdünner bewirkt; frühere Ansätze: ${e.batches}`,
    "flow-timed": (e) => `${f.seconds(e.seconds)} aus ${e.cup}: ${f.about(e.viscosity_mm2_s, 0, "mm²/s")}`, remarked: (e) => `Bemerkung: ${e.text}`,
    "room-known": (e) => `der Raum: ${f.room(e)}`,
    "came-out": ({ outcome }) => `geworden: ${[...outcome.found, outcome.better_than && `besser als ${outcome.better_than}`, outcome.note, ...outcome.pictures.map((place) => `Bild ${place}`)].filter(Boolean).join("; ")}`,
    moved: (e) => line(`${g(e.mass_g)} ${place[e.to]}${e.name ?? ""}`, e.told && seen.told),
  },

  labelled: {
    "code-lacks": (r) => `in den Code passt nicht alles: ${abouts(r)}`,
    "no-code": (r) => `zu klein für einen QR-Code, der ${f.about(r.needs_mm, 1, "mm")} braucht`,
    boxed: (r) => `${about[r.about]}: Zeichen, die die Schrift des Etiketts nicht hat, stehen als □: ${r.letters.join(" ")}${r.more ? ` und ${r.more} mehr` : ""}; ${
      r.in_code ? "der Code sagt sie" : "auch der Code sagt nicht alle: von Hand ergänzen"}`,
    "keeps-cut": (r) => `das passt nicht ganz: ${r.text}`,
    cut: (r) => `mit ${r.points} Punkt passt nicht alles: ${abouts(r)}`,
    more: (r) => `und ${r.remarks} mehr`,
  },

  lotOf: (name, lot) => `${name}, Los ${lot}`,
  onShelf: {
    beyond: (w, of) => `von ${of} wurden ${f.whole(w.beyond_g)} mehr gegossen, als die Gebinde hatten: das Gebinde in Gebrauch wiegen oder das fehlende eintragen`,
    empty: (_, of) => `von ${of} ist nichts mehr da`,
    low: (w, of) => `von ${of} ist wenig da: noch ${f.whole(w.left_g)}, weniger als ${f.whole(w.below_g)}`,
    "past-best-before": (w, _, pack) => `${pack} ist über seine Haltbarkeit, ${w.date}: vor dem Gebrauch prüfen`,
    "long-open": (w, _, pack) => `${pack} ist lange offen, seit ${w.date}: ansehen, riechen, prüfen`,
    "dry-test": (w, _, pack) => `${pack} trocknete in der Probe vom ${w.date} ${dried[w.result]}: ein anderes Los nehmen oder noch einmal prüfen`,
  },
  matter: {
    "jar-too-small": (m) => [`${m.jar} wird bis zu ${f.millilitres(m.most_ml)}, das Glas fasst ${f.millilitres(m.holds_ml)}: ein größeres nehmen oder zwei Gläser machen`, "Volumen der Teile zusammengezählt"],
    watery: (m) => [`${m.jar}, soweit verdünnt wie erlaubt: ${watered(f, m)}; der Film hält vielleicht nicht`, unsettled],
    overloaded: (m) => [`${m.jar} hat trocken ${f.part(m.pvc)} Pigment nach Volumen, mehr als die ${f.part(m.critical)}, die das Bindemittel füllt: der Film wird schwach und matt`, "kritische PVK aus der Ölzahl im Regal"],
    "late-powder": (m) => [`${m.ingredient} kommt in ${m.jar}, wenn das Glas mehr als halb voll ist: vorher zu einer Paste anteigen`, practice],
    "out-of-order": (m) => [`${m.jar} soll eine Spur von ${f.seconds(m.trail_s)} haben und steht nach ${m.behind} mit ${f.seconds(m.thinner_s)}: ein Satz geht vom Dicksten zum Dünnsten`, practice],
    short: (m) => [`im Regal fehlen ${f.weighed(m.short_g, 2)} ${m.ingredient}${m.packs ? `; ${m.packs} Gebinde zu ${f.whole(m.pack_g)} kaufen` : ""}`, "Vorrat im Regal"],
  },
  sized: { byEye: "nach Auge", between: (low, high) => `${low} bis ${high}`, most: (g) => `höchstens ${g}`, wanted: (s) => `${s} gewünscht`, bottle: "aus der Flasche" },

  noShelf: "Zu diesen Rezepten gehört noch kein Regal. Es ist eine Datei daneben: shelf.toml.",
  left: "Rest", packs: "Gebinde", look: "Einen Blick wert", write: "In die Datei schreiben",
  pack: (p, g) => line(p.lot ?? "Gebinde", `${g(p.left_g)} von ${g(p.holds_g)}`, p.in_use && "in Gebrauch", p.best_before && `haltbar bis ${p.best_before}`),

  noRecipes: "In diesem Ordner ist noch kein Rezept.", sets: "Sätze", leftOut: "Nicht gelesen",
  newName: "Name", newKind: "Art", kinds: { recipe: "Rezept", set: "Satz Gläser" }, begin: "Beginnen", beginNew: "Etwas Neues beginnen",
  there: (file) => `${file} gibt es schon.`, noFile: (file) => `${file} gibt es in diesem Ordner nicht.`,
  template: { first: "erste-zutat", second: "zweite-zutat", recipe: "name-eines-rezepts" },
  hand: "Wessen Hand gießt", usualHand: "die übliche", make: "Menge", asWritten: "wie geschrieben", mix: "Mischen", rehearse: "Proben",
  step: "Schritt", steps: "Schritte", share: "Anteil", within: "Toleranz",
  editor: {
    save: "Sichern", drop: "Änderungen verwerfen", saved: "Gesichert. Der Text davor liegt daneben.", good: "Daran ist nichts falsch.",
    late: "Diese Datei wurde inzwischen geändert. Den Text kopieren, sie neu lesen und die Änderung dort eintragen.",
    changed: "Die Datei wurde geändert, seit dieser Entwurf begonnen wurde.", common: "Das ist das gemeinsame Regal und liegt nicht in diesem Ordner.",
    line: (number) => `Zeile ${number}`, severity: { error: "Fehler", warning: "Warnung", note: "Hinweis" },
  },

  surface: (area, pour, thick) => `${area} cm², ${pour} ml zu gießen, nass ${thick} mm dick`,
  amount: "Menge", trail: "Spur", water: "Wasser", solids: "Festkörper", premixes: "Vormischungen", heel: "Bleibt im Gefäß",
  stock: "Im Regal", short: "Fehlt", cost: "Kosten", work: "Reihenfolge der Arbeit",
  takes: (all, one) => `${all} im Ganzen; ${one}, wenn beim Ruhen nichts getan würde`,
  stint: (s, clock) => line(`${s.name}: Schritte ${s.from_step} bis ${s.to_step}`, s.begins_s > 0 ? `nach ${clock(s.begins_s)}` : "sofort", s.rests_s > 0 && `dann ruht es ${clock(s.rests_s)}`),
  walks: { jar: "Glas für Glas mischen", bottle: "Flasche für Flasche mischen" },
};
