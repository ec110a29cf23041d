// Was der Dienst meldet, auf Deutsch.

const units = { drop: () => "Tropfen", teaspoon: () => "TL", tablespoon: () => "EL" };

export const unsettled = "übliche Praxis und nicht einhellig: 30 %, 50 % und 1 : 1 werden genannt, und Versuche widersprechen sich";
export const watered = ({ percent }, w) => `${percent(w.share, 0)} des Glases sind nach Gewicht zugegebenes Wasser, Verdünner und Vormischungen mitgezählt; mehr als die Warngrenze von ${percent(w.limit, 0)}`;

export default function told(f) {
  const { mass: g, brief: b, whole: w, millilitres: ml, percent, tenth } = f;
  const add = (way) => (way.pours.length === 0 ? "nichts mehr zugeben"
    : `noch ${way.pours.map((pour) => `${g(pour.grams)} ${pour.ingredient}`).join(", ")} zugeben`);
  const by = (asked) => g(Math.abs(asked.difference_g));
  const points = (basis, a) => `${basis}, auf ± ${percent(a.spread, 0)} bekannt: danach etwa ${f.about(a.expected_s, 1, "s")}`;
  const count = ({ unit, number, least, exact }) => (number === 0 ? `weniger als ${f.number(least)} ${units[unit]()}`
    : `${exact ? "" : "etwa "}${f.number(number)} ${units[unit]()}`);
  const leave = "Weiter lässt es so";
  const again = `die Spur noch einmal messen zeigt die Auswege, ${leave}`;
  const same = (a) => `${g(a.unthinned_g)} derselben Mischung ohne Verdünner`;
  const becomes = (way) => `im Glas sind dann ${g(way.total_g)}`;

  const meant = (r) => r.meant && `\`${r.meant}\` gemeint?`;
  const short = (c) => `bis zu ${b(c.needed_g)} ${c.ingredient} werden gebraucht, im Regal sind ${b(c.stock_g)}`;
  const fits = (c) => `bis zu ${ml(c.contents_ml)} kommen in ein Glas von ${ml(c.jar_ml)}`;
  const assumed = (c) => (c.assumed.length ? ` (mit 1 g/ml gerechnet: ${c.assumed.join(", ")})` : "");

  return {
    count,
    title: {
      add: (a) => a.ingredient, more: (a) => `mehr ${a.ingredient}`, "whole-vessel": (a) => `alles aus: ${a.vessel}`,
      stir: (a) => `${f.time(a.seconds)} rühren`, rest: (a) => `${f.time(a.seconds)} ruhen lassen`, strain: (a) => `sieben durch: ${a.through}`,
      look: (a) => `ansehen: ${a.expect}`, trail: () => "die Spur messen", thin: (a) => `verdünnen mit ${a.ingredient}`,
      "take-out": (a) => `${g(a.take_out_g)} herausnehmen`, decant: (a) => `${a.decant_g === null ? "alles" : g(a.decant_g)} abgießen in: ${a.into}`,
      note: (a) => a.text,
    },
    question: {
      overshoot: (q) => `${g(q.over_g ?? 0)} ${q.ingredient ?? "davon"} zu viel: welcher Ausweg?`,
      "off-ratio": (q) => (q.slip === "ran-out" ? `${q.ingredient ?? "Das"} ist leer: welcher Ausweg?`
        : "Das Verhältnis ist so wie geplant nicht mehr zu erreichen: welcher Ausweg?"),
      "too-thin": (q) => {
        const is = q.trail_s === undefined ? "die Spur ist zu kurz" : q.trail_s > 0 ? `die Spur hält ${f.seconds(q.trail_s)}` : "es bleibt keine Spur";
        return `Zu dünn: ${is}${q.wanted_s === undefined ? "" : `, gewünscht sind ${f.seconds(q.wanted_s)}`}: welcher Ausweg?`;
      },
      "poured-unseen": (q) => `${by(q)} kamen ${q.on_fine ? "an der feineren Waage vorbei" : "ohne Waage"} ins Glas: gehört das zu diesem Schritt?`,
      "added-in-hand": (q) => `Das Glas kam ${by(q)} schwerer zurück: wurde das in der Hand zugegeben?`,
      lighter: (q) => (q.on_fine ? `Das Glas ist ${by(q)} leichter, als es nach dem Becher sein müsste: verschüttet oder herausgenommen?`
        : `Das Glas ist ${by(q)} leichter: wurde etwas herausgenommen oder verschüttet?`),
      "bottle-lighter": (q) => `Die Flasche ist ${by(q)} leichter: kam alles davon ins Glas?`,
      "zero-lost": () => "Die Waage hat neu begonnen und zeigt ein anderes Gewicht: steht das Glas darauf wie zuvor?",
      "which-jar": () => "Welches Glas steht auf der Schale?",
      "out-of-turn": (q) => `${by(q)} kamen in ${q.jar}, das nicht an der Reihe ist: war das ${q.ingredient ? `${q.ingredient}, was dort als Nächstes kommt` : "seine nächste Zutat"}? Sonst am Rechner nennen, was es war`,
    },
    way: {
      "top-up-exact": (way) => ["", add(way), ": ", `das Verhältnis stimmt, ${becomes(way)}`],
      "top-up-least": (way) => ["", add(way), ": ", `jeder Anteil ist genau genug, ${becomes(way)}`],
      "make-less": (way) => ["weniger machen: ", add(way), ", ", `das Verhältnis stimmt, ${becomes(way)}`],
      "take-out": (way) => [`gut rühren, ${g(way.take_out_g)} herausnehmen, dann `, add(way), ": ", `das Verhältnis stimmt, ${becomes(way)}`],
      unthinned: (way) => ["", add(way), ", und nicht mehr verdünnen: ", `das Verhältnis stimmt, ohne Verdünner ${becomes(way)}`],
      "ready-made": (way) => ["", add(way), ", in einem Guss: ", `das Verhältnis stimmt so gut wie im anderen Glas, ohne Verdünner ${becomes(way)}`],
      accept: (_, aim, most) => `weiter wie geplant bis ${g(aim)}${
        most ? `: ${most.ingredient} wird ${percent(most.result, 1)} statt ${percent(most.planned, 1)}` : ""}`,
      leave: () => "so lassen, dünner als gewünscht", jar: (way) => (way.still_empty ? `${way.jar}, noch leer` : `${way.jar}, ${g(way.total_g)} sind darin`),
    },
    whyNot: {
      jar: (o) => `ins Glas passen ${ml(o.holds_ml)}, nötig sind ${ml(o.needs_ml)}`,
      "jar-weight": (o) => `ins Glas passen ${tenth(o.holds_g)}, nötig sind ${tenth(o.needs_g)}`,
      stock: (o) => `${tenth(o.needs_g)} ${o.ingredient} fehlen noch, im Regal sind ${tenth(o.has_g)}`,
      "too-much-in": (o) => `mit ${o.ingredient} im Glas werden es ${tenth(o.makes_g)}, mehr als ${tenth(o.most_g)}`,
      outrun: (o) => `${o.ingredient} reicht für ${tenth(o.enough_for_g)}, mit ${o.of} im Glas werden es ${tenth(o.makes_g)}`,
    },
    cue: {
      stop: () => "Stopp", begin: (c, title) => `jetzt: ${title}`,
      judged: (c) => ({ within: "das stimmt", overshoot: "zu viel", shortfall: "weniger als gewünscht, es geht weiter", recorded: "fertig", skipped: "ausgelassen" })[c.verdict],
      rescued: (c) => `der Rest ist neu bemessen, es werden ${g(c.total_g)}; zurücknehmen geht`, asks: () => "bitte entscheiden",
      "time-is-up": () => "die Zeit ist um", "load-gone": () => "das Glas ist von der Schale", "scale-lost": () => "kein Gewicht: die Waage ist weg",
      "scale-back": () => "die Waage ist wieder da", "fine-lost": () => "kein Gewicht: die feinere Waage ist weg",
      "fine-back": () => "die feinere Waage ist wieder da", "waiting-to-settle": () => "sobald das Gewicht ruhig ist",
      "jars-turn": (c) => `jetzt das Glas ${c.jar}`, "asks-for-jar": () => "bitte sagen, welches Glas es ist",
      complete: (c) => `${c.jar ?? "der Ansatz"} ist fertig`, aborted: () => "der Ansatz ist aufgegeben",
    },
    advice: {
      "recipe-splash": () => "der Schuss aus dem Rezept: davor und danach die Spur messen",
      "water-limit": (a) => `nur bis zur Grenze von ${percent(a.limit, 0)} zugegebenem Wasser (${unsettled}), nicht der ganze Schuss: danach die Spur messen`,
      "by-this-jar": (a) => points(`nach ${a.points} Spuren dieses Glases`, a),
      "by-earlier-batches": (a) => points(a.batches === 1 ? "nach einem früheren Ansatz" : `nach ${a.batches} früheren Ansätzen`, a),
      measure: () => "jetzt die Spur messen", right: () => "die Spur stimmt: weiter",
      "too-thin": (a) => `zu dünn: etwa ${same(a)} bringen sie zurück; ${again}`,
      "too-thin-untold": (a) => `zu dünn, und die Spuren sagen nicht, was sie zurückbringt: ${same(a)} versuchen; ${again}`,
      "too-thin-anyway": () => `zu dünn, und nicht durch den Verdünner: mehr von derselben Mischung hilft nicht; ${leave}`,
      "at-most": () => `mehr Verdünner erlaubt das Rezept nicht; ${leave}`,
    },
    water: (w) => `${watered(f, w)} (${unsettled}): der Film hält vielleicht nicht`,
    concern: {
      widened: (c) => `${b(c.target_g)} ${c.ingredient} auf ${b(c.asked_g)} genau kann diese Waage nicht: es gelten ${b(c.in_force_g)}, und so genau wiegt sie ab ${b(c.smallest_g)}`,
      unweighable: (c) => `${b(c.target_g)} ${c.ingredient} sind hier nicht zu wiegen: die Waage selbst ist nur auf ${b(c.uncertainty_g)} genau`,
      unseen: (c) => `${b(c.amount_g)} ${c.ingredient} sind vielleicht nicht zu sehen: die Waage zählt in Schritten von ${w(c.division_g)}`,
      "uneven-count": (c) => `${count(c.count)} ${c.ingredient} sind ${percent(Math.abs(c.off), 0)} ${c.off < 0 ? "weniger" : "mehr"} als der Anteil im Rezept`,
      "over-capacity": (c) => `${c.tare_g === null ? `allein der Inhalt, bis zu ${b(c.contents_g)},`
        : `das Glas mit ${b(c.tare_g)} und bis zu ${b(c.contents_g)} darin`} ist mehr als die ${w(c.capacity_g)}, die diese Waage wiegt`,
      "little-left-for-jar": (c) => `bis zu ${b(c.contents_g)} kommen hinein und diese Waage wiegt ${w(c.capacity_g)}: das leere Glas darf höchstens ${b(c.left_g)} wiegen, sonst aus der Flasche wiegen`,
      "jar-too-small": (c) => fits(c) + assumed(c), "stock-short": short,
      "unlike-its-record": (c) => `das Glas auf der Waage wiegt ${g(Math.abs(c.off_g))} ${c.off_g < 0 ? "weniger" : "mehr"} als ${c.jar} wiegen sollte, nämlich ${g(c.should_g)}: ist es das?`,
    },
    round: {
      "bigger-batch": (r) => `mindestens ${w(r.planned_g)} machen`, "even-batch": (r) => `${w(r.planned_g)} machen, dann geht die Zahl auf`,
      "smaller-batch": (r) => `höchstens ${w(r.planned_g)} machen`,
      "count-drops": () => "Tropfen zählen: einmal zwanzig wiegen, `drop` ins Regal schreiben und die Menge in Tropfen angeben",
      "dilute-first": (r) => `erst auf das ${r.times}-Fache verdünnen, mit etwas, das ohnehin hineinkommt`,
      "finer-scale": (r) => `diesen Schritt auf einer Waage mit ${w(r.division_g)} oder feiner wiegen`,
      "larger-jar": (r) => `ein Glas von ${ml(r.holds_ml)} oder mehr nehmen`, "lighter-jar": (r) => `ein Glas von höchstens ${b(r.tare_g)} nehmen`,
      "out-of-bottle": () => "aus der Flasche wiegen, das Glas steht daneben (weigh = \"bottle\", oder beim Mischen `tarehand bottle`)",
      "get-more": (r) => `${b(r.missing_g)} mehr besorgen`,
      "right-jar": () => "abbrechen und das richtige Glas holen, oder weitermachen: was fehlt, ist getrocknet oder wurde ungesehen entnommen",
    },
    remark: {
      "only-shares": () => ["das Rezept hat nur Anteile und keine Größe: Anteile an dem, was gemacht wird", "mit makes = \"…\" bekommt es eine übliche Größe"],
      "percent-not-whole": (r) => [`die Prozente ergeben ${f.part(r.sum)}: jedes gilt als sein Anteil daran`, "sie auf 100 % bringen oder einer Zutat `parts` geben"],
      "amounts-not-makes": (r) => [`die Mengen ergeben ${w(r.sum_g)}, nicht ${w(r.makes_g)}: ihr Verhältnis bleibt`, "`makes` ändern oder einer Zutat `parts` geben: sie bekommt den Rest"],
      "lets-all-pass": (r) => [`diese Toleranz ist so groß wie ihre Zugabe von ${w(r.amount_g)}`, "auch gar nichts läge darin; eine kleinere schreiben"],
      "jar-too-small": (r) => [fits(r), `weniger machen oder ein größeres Glas nehmen${assumed(r)}`],
      families: (r) => [`${r.other} ist ${r.other_family} und ${r.first} ist ${r.first_family}`,
        "Arten, die verschieden trocknen, können gerinnen, reißen oder sich lösen (übliche Praxis): bei einer bleiben oder vorher eine Trockenprobe machen"],
      "stock-short": (r) => [short(r), `${b(r.needed_g - r.stock_g)} mehr besorgen oder weniger machen; \`stock\` im Regal sagt, was da ist`],
      "stands-in": (r) => [`${r.missing} ist nicht zu haben: dafür steht ${r.used}`, r.note],
      "not-on-shelf": (r) => [`\`${r.name}\` steht nicht im Regal und ist kein Rezept daneben`, meant(r)],
      "no-shelf": (r) => [`\`${r.name}\` gilt nur als Name: es gibt kein Regal`, meant(r)],
      rounded: (r) => [`die Schritte sind auf ganze Mikrogramm gerundet und ergeben ${w(r.sum_g)}, geplant sind ${w(r.planned_g)}`],
      assumed: (r) => [`für ${r.ingredients.join(", ")} ist keine Dichte bekannt: 1 g/ml wird angenommen`],
      changed: (r) => [`mit Ersatz: ${r.ingredient} ${f.weighed(r.grams, 2)} (${f.part(r.share)}) statt ${f.weighed(r.written_g, 2)} (${f.part(r.written_share)})`],
    },
    trouble: {
      missing: "Die Waage ist nicht da: einstecken und einschalten, sie wird von selbst gefunden",
      ambiguous: "Mehrere Geräte können gemeint sein: eines genauer nennen",
      "another-device": "Dort ist jetzt ein anderes Gerät: die Waage wieder einstecken",
      "in-use": "Ein anderes Programm hat die Waage: es schließen", "not-permitted": "Die Waage darf von diesem Benutzer nicht gelesen werden",
      "not-a-scale": "Das ist keine Waage, die gelesen werden kann", "not-opened": "Die Waage lässt sich nicht öffnen: aus- und wieder einstecken",
      unplugged: "Die Waage wurde ausgesteckt oder ausgeschaltet: wieder einstecken, sie wird von selbst gefunden",
      "nothing-readable": "Von der Waage kommt nichts Lesbares: ist sie an, und sendet sie von selbst?",
      "broken-lines": "Vieles, was die Waage sendet, ist nicht zu lesen",
      silent: "Die Waage ist verbunden und sagt nichts: etwas auf die Schale stellen",
      "seven-bits": "Die Waage sendet sieben Bits und ein Prüfbit, gelesen werden acht",
      "needs-unit": "Die Waage sendet Zahlen ohne Einheit: die Einheit nennen",
      "needs-field": "Die Waage sendet mehrere Zahlen: nennen, welche das Gewicht ist",
      "bit-slips": "Ein Gewicht scheint doppelt anzukommen: die Leitung ist gestört", "word-for-weight": "Statt eines Gewichts kommt immer dasselbe Wort",
      "capture-unreadable": "Die Aufzeichnung ist nicht zu lesen", "capture-over": "Die Aufzeichnung ist zu Ende",
      "no-bluetooth": "Bluetooth antwortet auf diesem Rechner nicht", "no-radio": "Den gemeinten Bluetooth-Funk hat dieser Rechner nicht",
      "radio-off": "Bluetooth ist ausgeschaltet: einschalten, das geschieht nie von selbst",
      "not-in-reach": "Die Waage ist nicht in Reichweite oder schläft: eine Taste drücken und sie näher bringen",
      "not-connected": "Die Waage lässt sich nicht verbinden: ist ein Telefon mit ihr verbunden?",
      "connection-lost": "Die Verbindung zur Waage ist weg: eine Taste drücken und sie näher bringen",
      "other-service": "Die Waage bietet nicht, was von ihr erwartet wird: ihr Profil berichtigen", log: "Das Protokoll kann nicht geschrieben werden",
    },
    reason: {
      over: "dieser Ansatz ist zu Ende", "no-jar": "das Glas steht nicht auf der Schale", "no-weight": "die Waage zeigt gerade kein Gewicht",
      paused: "es ist Pause: erst weitermachen", "not-paused": "es ist keine Pause", "nothing-before": "das ist der erste Schritt",
      "nothing-to-undo": "es gibt nichts zurückzunehmen", "nothing-asked": "es wird gerade nichts gefragt", asked: "erst die Frage beantworten",
      "not-an-answer": "das ist keine Antwort auf diese Frage", "not-feasible": "dieser Ausweg geht nicht: einen anderen wählen",
      "not-gone": "das Gewicht ist nicht auf null gegangen", "nothing-poured": "in diesem Schritt wird nichts gegossen",
      "same-ingredient": "so ist es schon gebucht", "not-a-trail": "eine Spur dauert 0 bis 600 Sekunden", "not-timing": "es wird gerade keine Spur gemessen",
      "bottle-away": "die Flasche steht nicht auf der Schale", "not-the-jar": "was auf der Schale steht, ist nicht das Glas, wie es war",
      "weighed-so": "so wird es schon gewogen", "no-such-jar": "dieses Glas gibt es nicht", "jar-in-use": "in das Glas auf der Schale kam schon etwas",
    },
  };
}
