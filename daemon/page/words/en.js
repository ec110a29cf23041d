// Everything the page says, in English. Another language is a file beside this one with the same names.

import { figures } from "../figures.js";
import told from "./en-told.js";

const f = figures(".");

export default {
  figures: f,
  ...told(f),
  language: "en",
  codeAsked: "Code from the machine",
  letMeIn: "Let me in",
  codeHint: "At the machine that reads the scale: tarehand page",
  codeRefused: "That is not the code, or it was tried too often or is too old. Ask for a new one: tarehand page",
  notReached: "The service does not answer.",

  // The ways to the desk; what it says there is a table of its own, fetched with it.
  desk: {
    places: "Places", bench: "Bench", recipes: "Recipes", shelf: "Shelf", history: "History", plan: "Plan", compare: "Side by side", learnt: "What the bench learnt",
    failed: (why) => `That did not work: ${why}`,
  },

  ratio: "Ratio", asPlanned: "recipe", asPoured: "jar", steps: "Steps", jars: "Jars", concerns: "To know before",
  rehearsal: "rehearsal", nobody: "No batch", beamSays: (net, target) => `${net} of ${target}`,

  scale: {
    none: "no scale", lost: "the service does not answer",
    old: (seconds) => `no weight for ${f.seconds(seconds)}`, noWeight: { over: "too heavy for the scale", under: "below zero" },
    strange: "the scale shows no weight",
  },

  doing: {
    nothing: () => "Nothing is being mixed",
    "clear-pan": () => "Clear the pan",
    "put-jar": () => "Put the empty jar on the pan",
    "change-jar": (d) => (d.instead ? `Take ${d.instead} off and put ${d.jar} on` : `Put ${d.jar} on the pan`),
    "confirm-jar": () => "Something is on the pan: is it the empty jar?",
    pour: (d, g) => `Pour ${d.ingredient} to ${g(d.target_g)}`,
    count: (d, g, count) => `${count} of ${d.ingredient}`,
    "pour-between": (d, g) => `Pour ${d.ingredient}: ${g(d.low_g)} to ${g(d.high_g)}`,
    "pour-by-eye": (d) => (d.vessel ? `Empty ${d.vessel} into the jar: ${d.ingredient}` : `Pour ${d.ingredient} until it looks right`),
    stir: () => "Stir",
    rest: () => "Let it rest",
    strain: (d) => `Strain through ${d.through}`,
    look: (d) => `Look: ${d.expect}`,
    trail: (d) => (d.wanted_s === null ? "Time the trail" : `Time the trail: ${f.seconds(d.wanted_s)} is wanted`),
    thin: (d, g) => `Thin with ${d.ingredient}${d.splash_g ? `: ${g(d.splash_g)} now` : ""}`,
    "take-out": (d, g) => `Stir well, then take ${g(d.take_out_g)} out of the jar`,
    decant: (d, g) => (d.decant_g ? `Let ${g(d.decant_g)} out into ${d.into}` : `Let all of it out into ${d.into}`),
    note: (d) => d.text,
    "jar-gone": () => "Put the jar back on the pan",
    answer: () => "An answer is needed",
    paused: () => "Paused",
    complete: () => "Done",
    aborted: () => "Given up",
  },
  howToBegin: "Choose one of the recipes, or begin at the machine: tarehand mix RECIPE",
  bottle: {
    "set-jar-aside": "Set the jar beside the scale", "take-away": "Take the bottle off the pan",
    put: (what) => `Put the bottle of ${what} on the pan`, pour: "Pour out of the bottle, there or in your hand",
    "in-hand": "Set the bottle back on the pan",
  },
  toGo: (g) => `${g} to go`, tooMuch: (g) => `${g} too much`, there: "there",
  within: (g) => `within ${g}`,

  acts: {
    next: "Next", done: "Done", yes: "Yes", no: "No", undo: "Undo", pause: "Pause", resume: "Go on", skip: "Leave out", back: "Back",
    "ran-out": "Ran out", tared: "Scale was tared", "trail-start": "Line drawn", "trail-stop": "Line gone", abort: "Give up",
    sure: "Give this batch up?", more: "More", less: "Less",
  },
  taps: (once, twice) => (twice ? `or tap the pan: once “${once}”, twice “${twice}”` : `or tap the pan once: “${once}”`),
  waysOut: "Ways out",
  wayOf: (number) => `number ${number}`,
  pedal: { name: "Pedal", next: "Press the key for next", undo: "Press the key for undo" },
  jarIs: (names) => (names.length === 1 ? `This is the jar of ${names[0]}` : `This is the jar of ${names.join(" or ")}: they weigh too much alike`),
  onPan: "on the pan",
  refused: (why) => (why ? `Not taken: ${why}` : "Not taken"),
  voice: "Voice", tones: "Tones", language_: "Deutsch",
  verdict: { within: "within", overshoot: "too much", shortfall: "too little", recorded: "recorded", skipped: "left out" },
  status: { open: "to do", now: "now", done: "done" },
  state: { idle: "waiting", running: "being made", held: "held", paused: "paused", complete: "done", aborted: "given up" },
  hardens: (minutes) => (minutes > 0 ? `can be worked for ${minutes}\u00a0min` : "hardens: work it no longer"),
  allOnPan: "The figure is all that is on the pan, jar and all",
  total: (g) => `${g} in all`,
  pours: (p) => `${f.mass(p.grams)} ${p.ingredient}`,
  share: f.share,
};
