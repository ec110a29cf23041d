// What the service tells, in English: the same sentences as its own, built from what they are about.

const drops = { drop: (n) => (n === 1 ? "drop" : "drops"), teaspoon: () => "tsp", tablespoon: () => "tbsp" };

export const unsettled = "common practice, and not agreed on: 30 %, 50 % and 1 : 1 are said, and tests disagree";
export const watered = (f, w) => `${f.percent(w.share, 0)} of the jar by weight is added water, thinner and premixes counted; more than the limit of ${f.percent(w.limit, 0)} set for a warning`;

export default function told(f) {
  const { mass: g, brief: b, whole: w, millilitres: ml } = f;
  const add = (way) => (way.pours.length === 0 ? "add nothing more"
    : `still add ${way.pours.map((pour) => `${g(pour.grams)} ${pour.ingredient}`).join(", ")}`);
  const by = (asked) => g(Math.abs(asked.difference_g));
  const points = (basis, a) => `${basis}, a way known to ± ${f.percent(a.spread, 0)}: about ${f.about(a.expected_s, 1, "s")} after it`;
  const count = ({ unit, number, least, exact }) => (number === 0 ? `less than ${f.number(least)} ${drops[unit](1)}`
    : `${exact ? "" : "about "}${f.number(number)} ${drops[unit](number)}`);

  const meant = (r) => r.meant && `did you mean \`${r.meant}\`?`;
  const short = (c) => `up to ${b(c.needed_g)} of ${c.ingredient} are needed and ${b(c.stock_g)} are on the shelf`;
  const fits = (c) => `up to ${ml(c.contents_ml)} go into a jar of ${ml(c.jar_ml)}`;
  const assumed = (c) => (c.assumed.length ? ` (taken as 1 g/ml: ${c.assumed.join(", ")})` : "");

  return {
    count,
    title: {
      add: (a) => a.ingredient, more: (a) => `more ${a.ingredient}`, "whole-vessel": (a) => `all of ${a.vessel}`, stir: (a) => `stir ${f.time(a.seconds)}`,
      rest: (a) => `rest ${f.time(a.seconds)}`, strain: (a) => `strain through ${a.through}`, look: (a) => `look: ${a.expect}`,
      trail: () => "measure the trail", thin: (a) => `thin with ${a.ingredient}`, "take-out": (a) => `take out ${g(a.take_out_g)}`,
      decant: (a) => `decant ${a.decant_g === null ? "all of it" : g(a.decant_g)} into ${a.into}`, note: (a) => a.text,
    },
    question: {
      overshoot: (q) => `${g(q.over_g ?? 0)} too much ${q.ingredient ?? "this"}: which way out?`,
      "off-ratio": (q) => (q.slip === "ran-out" ? `there is no more ${q.ingredient ?? "this"}: which way out?`
        : "the ratio can no longer be reached as planned: which way out?"),
      "too-thin": (q) => {
        const is = q.trail_s === undefined ? "the trail is too short" : q.trail_s > 0 ? `the trail is ${f.seconds(q.trail_s)}` : "it leaves no trail";
        return `too thin: ${is}${q.wanted_s === undefined ? "" : ` and ${f.seconds(q.wanted_s)} is wanted`}: which way out?`;
      },
      "poured-unseen": (q) => `${by(q)} came into the jar ${q.on_fine ? "past the finer scale" : "while the scale was away"}: is that this step's pour?`,
      "added-in-hand": (q) => `the jar came back ${by(q)} heavier: was that added in the hand?`,
      lighter: (q) => (q.on_fine ? `the jar is ${by(q)} lighter than what left the cup makes it: was that spilled or taken out?`
        : `the jar is ${by(q)} lighter: was mixture taken out or spilled?`),
      "bottle-lighter": (q) => `the bottle is ${by(q)} lighter: was all of it poured into the jar?`,
      "zero-lost": () => "the scale started anew and shows another weight: does the jar stand on it as before?", "which-jar": () => "which jar is on the pan?",
      "out-of-turn": (q) => `${by(q)} came into ${q.jar}, whose turn it is not: was that its ${q.ingredient ?? "next ingredient"}? Otherwise name what it was`,
    },
    way: {
      "top-up-exact": (way) => ["", add(way), ": ", `the ratio holds, the jar becomes ${g(way.total_g)}`],
      "top-up-least": (way) => ["", add(way), ": ", `every share within its tolerance, the jar becomes ${g(way.total_g)}`],
      "make-less": (way) => ["make less: ", add(way), ", ", `the ratio holds, the jar becomes ${g(way.total_g)}`],
      "take-out": (way) => [`stir well, take out ${g(way.take_out_g)}, then `, add(way), ": ", `the ratio holds, the jar becomes ${g(way.total_g)}`],
      unthinned: (way) => ["", add(way), ", and no thinner: ", `the ratio holds, without thinner the jar becomes ${g(way.total_g)}`],
      "ready-made": (way) => ["", add(way), ", in one pour: ", `the ratio holds as far as it holds in that jar, without thinner this one becomes ${g(way.total_g)}`],
      accept: (_, aim, most) => `go on as planned to ${g(aim)}${
        most ? `: ${most.ingredient} becomes ${f.percent(most.result, 1)} instead of ${f.percent(most.planned, 1)}` : ""}`,
      leave: () => "leave it as it is, thinner than wanted",
      jar: (way) => (way.still_empty ? `${way.jar}, still empty` : `${way.jar}, ${g(way.total_g)} in it`),
    },
    whyNot: {
      jar: (o) => `the jar holds ${ml(o.holds_ml)} and this needs ${ml(o.needs_ml)}`,
      "jar-weight": (o) => `the jar holds ${f.tenth(o.holds_g)} and this comes to ${f.tenth(o.needs_g)}`,
      stock: (o) => `this needs ${f.tenth(o.needs_g)} more ${o.ingredient} and the shelf has ${f.tenth(o.has_g)}`,
      "too-much-in": (o) => `the ${o.ingredient} in the jar makes ${f.tenth(o.makes_g)}, more than ${f.tenth(o.most_g)}`,
      outrun: (o) => `the ${o.ingredient} there is serves ${f.tenth(o.enough_for_g)}, and the ${o.of} in the jar makes ${f.tenth(o.makes_g)}`,
    },
    cue: {
      stop: () => "stop", begin: (c, title) => `next: ${title}`,
      judged: (c) => ({ within: "that is right", overshoot: "too much", shortfall: "less than wanted, going on", recorded: "done", skipped: "left out" })[c.verdict],
      rescued: (c) => `the rest is resized, the batch becomes ${g(c.total_g)}; undo takes it back`, asks: () => "please decide",
      "time-is-up": () => "time is up", "load-gone": () => "the jar is off the pan", "scale-lost": () => "no weight: the scale is away",
      "scale-back": () => "the scale is back", "fine-lost": () => "no weight: the finer scale is away", "fine-back": () => "the finer scale is back",
      "waiting-to-settle": () => "as soon as the weight has settled", "jars-turn": (c) => `now the jar of ${c.jar}`,
      "asks-for-jar": () => "please say which jar", complete: (c) => `${c.jar ?? "the batch"} is complete`, aborted: () => "the batch is given up",
    },
    advice: {
      "recipe-splash": () => "the recipe's splash: measure the trail before and after it",
      "water-limit": (a) => `as far as the limit of ${f.percent(a.limit, 0)} added water (${unsettled}), not the whole splash: measure the trail then`,
      "by-this-jar": (a) => points(`by ${a.points} trails of this jar`, a),
      "by-earlier-batches": (a) => points(a.batches === 1 ? "by an earlier batch" : `by ${a.batches} earlier batches`, a),
      measure: () => "measure the trail now", right: () => "the trail is right: next",
      "too-thin": (a) => `too thin: about ${g(a.unthinned_g)} of the same mix without thinner bring it back; say the trail again for the ways, next leaves it so`,
      "too-thin-untold": (a) => `too thin, and these trails do not tell what brings it back: try ${g(a.unthinned_g)} of the same mix without thinner; say the trail again for the ways, next leaves it so`,
      "too-thin-anyway": () => "too thin, and not by the thinner: more of the same mix does not bring it back; next leaves it so",
      "at-most": () => "all the thinner that the recipe allows is in; next leaves it so",
    },
    water: (w) => `${watered(f, w)} (${unsettled}): the film may not hold`,
    concern: {
      widened: (c) => `${b(c.target_g)} of ${c.ingredient} within ${b(c.asked_g)} is finer than this scale can tell: within ${b(c.in_force_g)} is in force, and so accurately it weighs from ${b(c.smallest_g)} up`,
      unweighable: (c) => `${b(c.target_g)} of ${c.ingredient} cannot be weighed here: the scale itself is uncertain by ${b(c.uncertainty_g)}`,
      unseen: (c) => `${b(c.amount_g)} of ${c.ingredient} may not show: the scale counts in steps of ${w(c.division_g)}`,
      "uneven-count": (c) => `${count(c.count)} of ${c.ingredient} is ${f.percent(Math.abs(c.off), 0)} ${c.off < 0 ? "less" : "more"} than the recipe's share`,
      "over-capacity": (c) => (c.tare_g === null ? `the contents alone, up to ${b(c.contents_g)}, are more than the ${w(c.capacity_g)} this scale weighs`
        : `the jar with ${b(c.tare_g)} and up to ${b(c.contents_g)} in it is more than the ${w(c.capacity_g)} this scale weighs`),
      "little-left-for-jar": (c) => `up to ${b(c.contents_g)} go in and this scale weighs ${w(c.capacity_g)}: the empty jar may weigh ${b(c.left_g)} at most, or weigh out of the bottle`,
      "jar-too-small": (c) => fits(c) + assumed(c), "stock-short": short,
      "unlike-its-record": (c) => `the jar on the pan weighs ${g(Math.abs(c.off_g))} ${c.off_g < 0 ? "less" : "more"} than ${c.jar} should, which is ${g(c.should_g)}: is it that one?`,
    },
    round: {
      "bigger-batch": (r) => `make at least ${w(r.planned_g)}`, "even-batch": (r) => `make ${w(r.planned_g)}, and the count comes out even`,
      "smaller-batch": (r) => `make at most ${w(r.planned_g)}`,
      "count-drops": () => "count drops: weigh twenty once, put `drop` on the shelf and give the amount in drops",
      "dilute-first": (r) => `dilute it ${r.times} times first, with something the recipe holds anyway`,
      "finer-scale": (r) => `weigh this step on a scale of ${w(r.division_g)} or finer`, "larger-jar": (r) => `take a jar of ${ml(r.holds_ml)} or more`,
      "lighter-jar": (r) => `take a jar of at most ${b(r.tare_g)}`,
      "out-of-bottle": () => "weigh out of the bottle: it stands on the scale and the jar beside it (weigh = \"bottle\", or `tarehand bottle` while mixing)",
      "get-more": (r) => `get ${b(r.missing_g)} more`,
      "right-jar": () => "give this up and put the right jar on the pan, or go on: what is missing dried or was taken unseen",
    },
    // What was remarked, and what to do about it.
    remark: {
      "only-shares": () => ["the recipe has only shares and no size of its own: they are shares of whatever is made", "write makes = \"…\" to give it a usual size"],
      "percent-not-whole": (r) => [`the percentages come to ${f.part(r.sum)}: each is taken as its share of that`, "make them come to 100 %, or give one ingredient `parts`"],
      "amounts-not-makes": (r) => [`the amounts come to ${w(r.sum_g)}, not to ${w(r.makes_g)}: their ratio is kept`, "change `makes`, or give one ingredient `parts`: it takes what is left"],
      "lets-all-pass": (r) => [`this tolerance is as large as an addition of ${w(r.amount_g)} it is for`, "nothing at all would be within it; write a smaller one"],
      "jar-too-small": (r) => [fits(r),
        `make less, or take a larger jar${assumed(r)}`],
      families: (r) => [`${r.other} is ${r.other_family} and ${r.first} is ${r.first_family}`,
        "families that dry in different ways may curdle, crack or peel (common practice): keep to one, or make a dry test first"],
      "stock-short": (r) => [short(r),
        `get ${b(r.needed_g - r.stock_g)} more, or make less; \`stock\` on the shelf says what there is`],
      "stands-in": (r) => [`${r.missing} is not to be had: ${r.used} stands in for it`, r.note],
      "not-on-shelf": (r) => [`\`${r.name}\` is not on the shelf and no recipe beside this one`, meant(r)],
      "no-shelf": (r) => [`\`${r.name}\` is taken as a name alone: there is no shelf`, meant(r)],
      rounded: (r) => [`the steps are rounded to whole micrograms and come to ${w(r.sum_g)}, planned are ${w(r.planned_g)}`],
      assumed: (r) => [`no density is known for ${r.ingredients.join(", ")}: 1 g/ml is assumed`],
      changed: (r) => [`with stand-ins: ${r.ingredient} ${f.weighed(r.grams, 2)} (${f.part(r.share)}) instead of ${f.weighed(r.written_g, 2)} (${f.part(r.written_share)})`],
    },
    // The service says these in English itself, and more exactly.
    trouble: {},
    reason: {},
  };
}
