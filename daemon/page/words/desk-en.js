// What the desk says, in English: recipes, shelf, plan and history.

import { figures } from "../figures.js";
import { unsettled, watered } from "./en-told.js";

const f = figures(".");
const g = f.mass;
const line = (...texts) => texts.filter(Boolean).join(", ");
const spoon = "Advice: the ingredient's spoon on the shelf.";

const practice = "common practice";
const dried = { clear: "clear", cloudy: "cloudy", tacky: "tacky", crazed: "crazed" };

const seen = { unseen: "unseen", "in-hand": "in the hand", told: "as told" };
const weighed = { bottle: "out of the bottle", jar: "in the jar", fine: "out on the finer scale" };
const change = { residue: "residue or a stick", "taken-out": "taken out or spilled", foreign: "not part of the mix" };
const asked = {
  overshoot: "overshoot", "ran-out": "no more", "taken-out": "off the ratio", "too-thin": "too thin", "poured-unseen": "poured unseen?",
  "added-in-hand": "added in the hand?", lighter: "lighter", "bottle-lighter": "the bottle lighter?", "zero-lost": "zero lost?",
};
const rescued = {
  "top-up-exact": "rescued, exact ratio", "top-up-least": "rescued, within the tolerances", "make-less": "made less", accept: "accepted as it is",
  unthinned: "too thin, more of the mix without thinner", "ready-made": "too thin, more of the mix from another jar",
};
const zero = { "tare-key": "the scale's tare was pressed", "empty-pan": "that is the empty pan", power: "the scale started anew; what was poured meanwhile is unknown" };
const place = { jar: "into the jar of ", cup: "into ", shelf: "on the shelf as ", waste: "taken out" };
const pours = (e) => line(...e.pours.map((p) => `${g(p.grams)} ${p.ingredient}`));
const moved = (e) => `from ${g(e.before_g)} to ${g(e.after_g)}`;
const by = (e) => (e.by_limit ? "within the limits set" : "chosen by the person");
const about = {
  name: "the name", made: "date, weight and trail", cautions: "the cautions", keeps: "the best before", contents: "what is in it",
  beside: "what lies outside the ratio", premix: "what a premix holds",
};
const abouts = (r) => line(...r.about.map((word) => about[word]));

export default {
  batch: "Batch", recipe: "Recipe", began: "Begun", outcome: "Outcome", inJar: "In the jar now",
  find: "Recipe, ingredient, lot, remark or mark", noBatches: "No batch was found.",
  cameOut: "What became of it", betterThan: (mark) => `better than ${mark}`, foundWords: "What was found; in short words", better: "Better than the batch", add: "Add it",
  weight: "The weight over time", weightOf: (recipe) => `Weight over time of ${recipe}, with its steps`,
  label: "Label", onLabel: "Not all is on the label as it should be:", jarWeighs: (g) => `Empty jar ${g}`, scaleOf: (g) => `scale of ${g}`, contents: "As mixed", shares: "Ratio", ingredient: "Ingredient", planned: "Planned", poured: "Poured",
  unseen: "Unwatched", pouredInto: "Poured on into", entries: "Everything that happened", count: (n) => `${n} entries`,

  now: (g) => `In the jar now: ${g}`, lots: "Lots", ofLot: (g, lot) => `${g} of ${lot}`, costs: (money, each) => `cost ${money}, ${each} a gram`,
  unpriced: (g) => `without ${g} of unknown price`, since: "Since it was made",
  reopened: ({ how, what, recipe, jar }) => ({ added: `Added ${line(...what)} to ${recipe}, ${jar}`, joined: `Poured ${line(...what)} into ${recipe}, ${jar}` })[how]
    ?? `Took from ${recipe}, ${jar}${what.length ? ` into ${line(...what)}` : ""}`,
  whither: (a) => (a.shelf ? place.shelf + a.shelf : change[a.cause] ?? a.what),
  rescues: "Put right", again: "At the bench again", amend: "Add it to the jar", join: "Pour it into that jar", takeOut: "Take it out",
  intoJar: "Into the jar of batch", intoCup: "Into what; away if empty", orAll: "How much; all if empty", repeat: "Make it again", repeatPoured: "Make it again as poured",
  recipeFile: (file) => (file.changed ? `${file.file} has changed since` : `${file.file} is still the same`),

  beside: "Beside the batch", room: "Room", sameText: (same) => `Made from ${same ? "the same recipe text" : "different recipe texts"}.`,

  learning: {
    whence: "It follows from the history; rehearsals teach nothing. Behind ± stands how far single runs lie about it.",
    // Its name, where it is used, and what the figure is for.
    kind: {
      "stop-lead": ["When stop is said", "Stop is said so much earlier or later, for each ingredient and hand."],
      drop: ["What a drop weighs", "Advice: the ingredient's drop on the shelf."], teaspoon: ["What a teaspoon weighs", spoon], tablespoon: ["What a tablespoon weighs", spoon],
      thinner: ["Thinner for a mix", "Advice: where to begin thinning.", "in 100 g of mix"], stick: ["What the stick takes", "Advice: mix so much more.", "each time"],
      yield: ["What an area takes", "Advice: the yield of the set.", "on a square metre"],
    },
    earlier: "earlier", later: "later", runs: (n) => (n === 1 ? "from 1 run" : `from ${n} runs`),
    flow: "the flow alone", shelf: (figure) => `${figure}, as the shelf says`, set: (figure) => `${figure}, as the set says`,
    compared: (what, percent) => `Compared with ${what}: ${percent ? `on runs it had not seen, it was off by only ${percent} as much` : "not better so far"}.`,
    alone: "Nothing to compare it with.", used: "The next batch uses it.", allMixes: "All mixes", nothing: "Nothing is known yet.",
    on: "It is on.", off: "It is off.", switchOn: "Switch it on", switchOff: "Switch it off", forget: "Forget", forgetAll: "Forget all of it", keep: "Keep it",
    sure: (what) => `Forget ${what}? No run up to now will count any more; the record stays.`, forgotten: (what) => `${what}: forgotten.`,
  },

  happened: {
    "fine-lost": "the finer scale was lost", "fine-back": "the finer scale came back", "fine-cleared": "the finer scale holds something else now, nothing poured",
    "jar-set-aside": "the jar stands beside the scale", "jar-returned": "the jar is back from beside the scale", "bottle-lifted": "the bottle was lifted",
    "bottle-back": "the bottle is back", undone: "undone", paused: "paused", resumed: "resumed", "jar-back": "the jar is back",
    "jar-mistaken": "that was another jar", "scale-lost": "the scale was lost", "scale-back": "the scale came back", completed: "complete", aborted: "given up",
    opened: (e) => `opened: ${e.recipe}, ${g(e.planned_g)}${e.learnt.length ? `; stop is said as learnt for ${line(...e.learnt)}` : ""}`,
    "scale-known": (e) => (e.division_g ? `the scale's division is ${f.whole(e.division_g)}` : "the scale is known"),
    "jar-placed": (e) => line(`jar on the pan, ${g(e.jar_g)}`, e.off_g && `${g(Math.abs(e.off_g))} ${e.off_g < 0 ? "less" : "more"} than its record says`),
    began: (e, s) => `began: ${s}`, poured: (e, s) => line(`poured ${g(e.poured_g)} ${s}`, seen[e.seen]),
    "poured-out": (e, s) => line(`poured ${g(e.poured_g)} ${s} out of its bottle`, e.seen !== "in-hand" && seen[e.seen]),
    filled: (e, s) => `filled ${g(e.filled_g)} ${s} into its cup`, "laid-on": (e) => `${g(e.laid_g)} laid beside the bottle, nothing poured`,
    "weigh-chosen": (e) => `to be weighed ${weighed[e.weigh]}`,
    "weigh-fits": (e, s) => `${s}: ${e.weigh === "fine" ? "weighed out on the finer scale, the jar's own is too coarse for it" : "weighed in the jar, the finer scale is away"}`,
    "fine-known": (e) => (e.there ? `a finer scale${e.division_g ? ` of ${g(e.division_g)}` : ""} stands by` : "the finer scale was let go"),
    "fine-zero-moved": (e) => `the finer scale's zero moved ${moved(e)}`,
    "jar-compared": (e) => `the jar's own scale agrees: ${g(e.after_g)} instead of ${g(e.before_g)}`,
    "bottle-placed": (e, s) => `a bottle of ${s}, ${g(e.bottle_g)}`, changed: (e) => `${g(e.by_g)} ${change[e.cause]}`,
    decanted: (e) => (e.into && e.decanted_g < 0 ? `${g(-e.decanted_g)} back out of ${e.into}` : `decanted ${g(e.decanted_g)}${e.into ? ` into ${e.into}` : ""}`),
    judged: (e, s) => `${e.verdict === "skipped" ? "left out" : e.verdict}: ${s}${e.within_g === null ? "" : ` ${g(e.poured_g)} of ${g(e.target_g)}, ± ${g(e.within_g)}`}`,
    asked: (e) => `held: ${asked[e.slip ?? e.about]}`,
    answered: (e) => `answered ${e.option === null ? (e.yes ? "yes" : "no") : `option ${e.option}`}, ${by(e)}`,
    rescued: (e) => (e.kind === "take-out" ? `rescued: ${g(e.take_out_g)} to be taken out (${by(e)})`
      : `${rescued[e.kind]}: ${line(`total ${g(e.total_g)}`, e.pours.length > 0 && `still to come ${pours(e)}`)} (${by(e)})`),
    "ran-out": (e, s) => `there is no more: ${s}`, "was-other": (e, _, t) => `the ${g(e.mass_g)} of ${t(e.from)} were ${t(e.to)}`,
    "went-back": (e, s) => `went back to: ${s}`, "load-gone": (e) => `the load is gone, the scale shows ${g(e.shows_g)}`,
    "zero-moved": (e) => `zero moved ${moved(e)}: ${zero[e.cause]}`,
    trail: (e) => line(`trail ${f.seconds(e.seconds)}`, e.tapped && "timed by taps", e.total_g !== null && `${g(e.thinner_g)} thinner in ${g(e.total_g)}`),
    "thinning-known": (e) => `how ${e.batches === 1 ? "an earlier batch" : `${e.batches} earlier batches`} answered to thinner is known`,
    "flow-timed": (e) => `${f.seconds(e.seconds)} from ${e.cup}: ${f.about(e.viscosity_mm2_s, 0, "mm²/s")}`, remarked: (e) => `remark: ${e.text}`,
    "room-known": (e) => `the room: ${f.room(e)}`,
    "came-out": ({ outcome }) => `came out: ${[...outcome.found, outcome.better_than && `better than ${outcome.better_than}`, outcome.note, ...outcome.pictures.map((place) => `picture ${place}`)].filter(Boolean).join("; ")}`,
    moved: (e) => line(`${g(e.mass_g)} ${place[e.to]}${e.name ?? ""}`, e.told && seen.told),
  },

  labelled: {
    "code-lacks": (r) => `the code has no room for all of ${abouts(r)}`,
    "no-code": (r) => `it is too small for a QR code, which needs ${f.about(r.needs_mm, 1, "mm")}`,
    boxed: (r) => `${about[r.about]} has letters that the label's font cannot draw, they stand as □: ${r.letters.join(" ")}${r.more ? ` and ${r.more} more` : ""}; ${
      r.in_code ? "the code on the label says them" : "and the code on the label does not say all of them: write them on by hand"}`,
    "keeps-cut": (r) => `it has no room for all of: ${r.text}`,
    cut: (r) => `at ${r.points} points it has no room for all of ${abouts(r)}`,
    more: (r) => `and ${r.remarks} remarks more`,
  },

  lotOf: (name, lot) => `${name}, lot ${lot}`,
  onShelf: {
    beyond: (w, of) => `${f.whole(w.beyond_g)} more of ${of} were poured than its packs held: weigh the pack in use, or add the one that is missing`,
    empty: (_, of) => `nothing is left of ${of}`,
    low: (w, of) => `${of} is low: ${f.whole(w.left_g)} left, less than ${f.whole(w.below_g)}`,
    "past-best-before": (w, _, pack) => `${pack} is past its best before, ${w.date}: test it before it is used`,
    "long-open": (w, _, pack) => `${pack} was opened long ago, ${w.date}: look at it, smell it, test it`,
    "dry-test": (w, _, pack) => `${pack} dried ${dried[w.result]} in the test of ${w.date}: take another lot, or test it again`,
  },
  matter: {
    "jar-too-small": (m) => [`${m.jar} comes to ${f.millilitres(m.most_ml)} at most and its jar holds ${f.millilitres(m.holds_ml)}: take a larger jar or make it in two`, "volumes of the parts added"],
    watery: (m) => [`${m.jar}, thinned at most: ${watered(f, m)}; the film may not hold`, unsettled],
    overloaded: (m) => [`${m.jar} holds ${f.part(m.pvc)} pigment by volume when dry, more than the ${f.part(m.critical)} its binder can fill: expect a weak, matt film`, "critical PVC from the oil absorption on the shelf"],
    "late-powder": (m) => [`${m.ingredient} goes into ${m.jar} when the jar is more than half full: wet it to a paste first`, practice],
    "out-of-order": (m) => [`${m.jar} is wanted with a trail of ${f.seconds(m.trail_s)} and stands after ${m.behind} with ${f.seconds(m.thinner_s)}: a set goes from thickest to thinnest`, practice],
    short: (m) => [`${m.ingredient} on the shelf is short by ${f.weighed(m.short_g, 2)}${m.packs ? `; buy ${m.packs} ${m.packs === 1 ? "pack" : "packs"} of ${f.whole(m.pack_g)}` : ""}`, "stock on the shelf"],
  },
  sized: { byEye: "by eye", between: (low, high) => `${low} to ${high}`, most: (g) => `${g} at most`, wanted: (s) => `${s} wanted`, bottle: "out of the bottle" },

  noShelf: "No shelf goes with these recipes yet. It is a file beside them: shelf.toml.",
  left: "Left", packs: "Packs", look: "Worth a look", write: "Write in the file",
  pack: (p, g) => line(p.lot ?? "pack", `${g(p.left_g)} of ${g(p.holds_g)}`, p.in_use && "in use", p.best_before && `best before ${p.best_before}`),

  noRecipes: "There is no recipe in this folder yet.", sets: "Sets", leftOut: "Not read",
  newName: "Name", newKind: "Kind", kinds: { recipe: "recipe", set: "set of jars" }, begin: "Begin", beginNew: "Begin a new one",
  there: (file) => `There is a ${file} already.`, noFile: (file) => `There is no ${file} in this folder.`,
  template: { first: "first-ingredient", second: "second-ingredient", recipe: "name-of-a-recipe" },
  hand: "Whose hand pours", usualHand: "the usual one", make: "Make", asWritten: "as written", mix: "Mix it", rehearse: "Rehearse it",
  step: "Step", steps: "Steps", share: "Share", within: "Within",
  editor: {
    save: "Save", drop: "Drop the changes", saved: "Saved. The text before is kept beside it.", good: "Nothing is wrong with it.",
    late: "Somebody else changed this file meanwhile. Copy your text, read the file again, and put your change into it.",
    changed: "The file was changed since this draft was begun.", common: "This is the common shelf; it does not lie in this folder.",
    line: (number) => `line ${number}`, severity: { error: "Error", warning: "Warning", note: "Note" },
  },

  surface: (area, pour, thick) => `${area} cm², ${pour} ml to pour, ${thick} mm thick when wet`,
  amount: "Amount", trail: "Trail", water: "Water", solids: "Solids", premixes: "Premixes", heel: "Stays in the vessel",
  stock: "On the shelf", short: "Missing", cost: "Cost", work: "Order of work",
  takes: (all, one) => `${all} in all; ${one} if nothing were done while something rests`,
  stint: (s, clock) => line(`${s.name}: steps ${s.from_step} to ${s.to_step}`, s.begins_s > 0 ? `after ${clock(s.begins_s)}` : "at once", s.rests_s > 0 && `then it rests ${clock(s.rests_s)}`),
  walks: { jar: "Mix jar by jar", bottle: "Mix bottle by bottle" },
};
