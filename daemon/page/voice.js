// The voice: says every new cue and every new thing to do, where the person wants it. It is the browser's own where that
// has one for the language, else the service's.

import * as service from "./service.js";

const KEY = "tarehand.voice";
const PATH = "/v1/page/voice";
/** The most characters that the service says at once. */
const MOST = 400;
const here = "speechSynthesis" in window;

/** The languages that the service speaks. */
let served = [];
/** What ends that which is being said. */
let hush = () => {};

/** Asks the service what it can say; an older or a silent one says nothing. */
export async function look() {
  served = (await service.ask("GET", PATH).catch(() => ({}))).languages ?? [];
}

export const can = () => here || served.length > 0;
export const on = () => localStorage.getItem(KEY) === "on";
export const set = (wanted) => {
  localStorage.setItem(KEY, wanted ? "on" : "off");
  if (!wanted) hush();
};

export function say(text, language) {
  if (!on() || !text) return;
  // What is newer matters more.
  hush();
  const voices = here ? speechSynthesis.getVoices?.() ?? [] : [];
  const speaks = voices.some((one) => one.lang.slice(0, 2).toLowerCase() === language);
  hush = !speaks && served.includes(language) ? byService(text, language) : here ? byBrowser(text, language) : hush;
}

function byBrowser(text, language) {
  const said = new SpeechSynthesisUtterance(text);
  said.lang = language;
  speechSynthesis.speak(said);
  return () => speechSynthesis.cancel();
}

/** Plays what the service makes of the text; where it makes nothing, the words on the screen are all there is. */
function byService(text, language) {
  const stop = new AbortController();
  const audio = new Audio();
  const quiet = () => {
    stop.abort();
    audio.pause();
    URL.revokeObjectURL(audio.src);
  };
  service.file(PATH, { text: text.slice(0, MOST), language }, stop.signal)
    .then(({ made }) => {
      audio.src = URL.createObjectURL(made);
      audio.addEventListener("ended", quiet);
      return audio.play();
    })
    .catch(() => {});
  return quiet;
}
