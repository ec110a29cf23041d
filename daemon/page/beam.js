// The beam: the arm of a steelyard. The poise travels with the weight to the notch, as wide as the tolerance; past it
// the arm tips.

import { id, svg } from "./draw.js";

/** Where the poise rides at nothing and at the target, in the drawing's own units. */
const [NOTHING, TARGET, END] = [300, 800, 960];
const PER = TARGET - NOTHING;
/** How far the arm leans before the notch and past it, in degrees. */
const [RESTS, TIPS] = [-2.5, 9];

const parts = {};

export function build() {
  const ticks = Array.from({ length: 11 }, (_, tenth) => {
    const at = NOTHING + (PER * tenth) / 10;
    return svg("line", { class: "tick", x1: at, x2: at, y1: 120, y2: tenth % 5 ? 106 : 98 });
  });
  parts.notch = svg("rect", { class: "notch", y: 88, height: 32, rx: 3 });
  parts.poise = svg("g", { class: "ride" }, svg("path", { class: "poise", d: "M-6 124h12v18h18l8 44h-64l8-44h18z" }));
  parts.tip = svg("g", { class: "tip" },
    svg("path", { class: "arm", d: `M110 120H${END}` }), ...ticks, parts.notch,
    svg("path", { class: "pan", d: "M130 120v52M82 172h96l-14 46h-68z" }), parts.poise);
  id("beam").replaceChildren(svg("path", { class: "post", d: "M230 108l16 22h-6v138h44v14h-108v-14h44v-138h-6z" }), parts.tip);
}

/**
 * Draws a weight against a span from `low` to `high`; `null` where there is none.
 *
 * `over` says whether the arm tips, which the service decides, not the drawing.
 */
export function show(net, target, low, high, over) {
  const beam = id("beam");
  beam.style.visibility = target > 0 ? "" : "hidden";
  if (!(target > 0)) return;
  const at = (value) => NOTHING + (PER * value) / target;
  const [from, to] = [at(low), Math.min(END, at(high))];
  // A tolerance that is too narrow to be seen is still a notch.
  const wide = Math.max(10, to - from);
  parts.notch.setAttribute("x", (from + to - wide) / 2);
  parts.notch.setAttribute("width", wide);
  const rides = Math.max(NOTHING - 20, Math.min(END - 20, at(net ?? 0)));
  parts.poise.setAttribute("transform", `translate(${rides} 0)`);
  const within = net !== null && low <= net && !over;
  const past = over ? Math.min(1, 0.35 + (net - high) / (0.2 * target)) : 0;
  parts.tip.style.transform = `rotate(${over ? TIPS * past : within ? 0 : RESTS}deg)`;
}
