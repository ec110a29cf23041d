// Was der Schreibtisch sagt, auf Deutsch: Rezepte, Regal, Plan und Protokoll.

const line = (...texts) => texts.filter(Boolean).join(", ");

export default {
  places: "Orte", bench: "Waage", recipes: "Rezepte", shelf: "Regal", history: "Protokoll", plan: "Plan",
  failed: (why) => `Das ging nicht: ${why}`,

  batch: "Ansatz", recipe: "Rezept", began: "Begonnen", outcome: "Ausgang", inJar: "Im Glas",
  find: "Rezept, Zutat, Los, Bemerkung oder Zeichen", noBatches: "Es wurde kein Ansatz gefunden.",
  cameOut: "Was daraus wurde", betterThan: (mark) => `besser als ${mark}`, foundWords: "Was zu sehen war; in kurzen Worten", better: "Besser als der Ansatz", add: "Hinzufügen",
  weight: "Das Gewicht im Lauf der Zeit", weightOf: (recipe) => `Gewicht im Lauf der Zeit von ${recipe}, mit den Schritten`,
  label: "Etikett", jarWeighs: (g) => `Leeres Glas ${g}`, scaleOf: (g) => `Waage mit Teilung ${g}`, contents: "Wie gemischt", shares: "Verhältnis", ingredient: "Zutat", planned: "Geplant", poured: "Gegossen",
  unseen: "Ungesehen", pouredInto: "Weitergegossen in", entries: "Alles, was geschah", count: (n) => `${n} Einträge`,

  now: (g) => `Jetzt im Glas: ${g}`, lots: "Lose", ofLot: (g, lot) => `${g} aus Los ${lot}`, costs: (money, each) => `kostete ${money}, ${each} je Gramm`,
  unpriced: (g) => `ohne ${g} mit unbekanntem Preis`, since: "Seit es fertig ist", wentInto: (jar) => `Kam in das Glas von ${jar.recipe}, ${jar.batch}`,
  rescues: "Gerettet", again: "Noch einmal an den Platz", amend: "In das Glas geben", join: "In jenes Glas gießen", takeOut: "Herausnehmen",
  intoJar: "In das Glas des Ansatzes", intoCup: "Wohinein; leer: weg", orAll: "Wie viel; leer: alles", repeat: "Noch einmal machen", repeatPoured: "Noch einmal, wie gegossen",
  recipeFile: (file) => (file.changed ? `${file.file} wurde seither geändert` : `${file.file} ist noch dieselbe`),

  noShelf: "Zu diesen Rezepten gehört noch kein Regal. Es ist eine Datei daneben: shelf.toml.",
  left: "Rest", packs: "Gebinde", look: "Einen Blick wert", write: "In die Datei schreiben",
  pack: (p, g) => line(p.lot ?? "Gebinde", `${g(p.left_g)} von ${g(p.holds_g)}`, p.in_use && "in Gebrauch", p.best_before && `haltbar bis ${p.best_before}`),

  noRecipes: "In diesem Ordner ist noch kein Rezept.", sets: "Sätze", leftOut: "Nicht gelesen",
  newName: "Name", newKind: "Art", kinds: { recipe: "Rezept", set: "Satz Gläser" }, begin: "Beginnen", beginNew: "Etwas Neues beginnen",
  there: (file) => `${file} gibt es schon.`, noFile: (file) => `${file} gibt es in diesem Ordner nicht.`,
  template: {
    recipe: (name) => `[recipe]\nname   = ${name}\nmakes  = "100 g"\nwithin = "2 %"\n\n[[step]]\nadd    = "erste-zutat"\namount = "70 parts"\n\n[[step]]\nadd    = "zweite-zutat"\namount = "30 parts"\n`,
    set: (name) => `[set]\nname  = ${name}\nspare = "10 %"\n\n[[surface]]\nwidth  = "30 cm"\nheight = "40 cm"\n\n[[jar]]\nrecipe = "name-eines-rezepts"\nshare  = "1 part"\n`,
  },
  make: "Menge", asWritten: "wie geschrieben", mix: "Mischen", rehearse: "Proben",
  step: "Schritt", steps: "Schritte", share: "Anteil", within: "Toleranz",
  editor: {
    save: "Sichern", drop: "Änderungen verwerfen", saved: "Gesichert. Der Text davor liegt daneben.", good: "Daran ist nichts falsch.",
    late: "Jemand anderes hat diese Datei inzwischen geändert. Den Text kopieren, die Datei neu lesen und die Änderung dort eintragen.",
    changed: "Die Datei wurde geändert, seit dieser Entwurf begonnen wurde.", common: "Das ist das gemeinsame Regal; es liegt nicht in diesem Ordner.",
    line: (number) => `Zeile ${number}`, severity: { error: "Fehler", warning: "Warnung", note: "Hinweis" },
  },

  surface: (area, pour, thick) => `${area} cm², ${pour} ml zu gießen, nass ${thick} mm dick`,
  amount: "Menge", trail: "Spur", water: "Wasser", solids: "Festkörper", premixes: "Vormischungen", heel: "Bleibt im Gefäß",
  stock: "Im Regal", short: "Fehlt", cost: "Kosten", work: "Reihenfolge der Arbeit",
  takes: (all, one) => `${all} im Ganzen; ${one}, wenn beim Ruhen nichts getan würde`,
  stint: (s, clock) => line(`${s.name}: Schritte ${s.from_step} bis ${s.to_step}`, `bei ${clock(s.begins_s)}`, s.rests_s > 0 && `dann ruht es ${clock(s.rests_s)}`),
  walks: { jar: "Glas für Glas mischen", bottle: "Flasche für Flasche mischen" },
};
