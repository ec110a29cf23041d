// The voice: says every new cue and every new thing to do, where the person wants it and the browser can.

const KEY = "tarehand.voice";
const here = "speechSynthesis" in window;

export const can = () => here;
export const on = () => localStorage.getItem(KEY) === "on";
export const set = (wanted) => {
  localStorage.setItem(KEY, wanted ? "on" : "off");
  if (!wanted && here) speechSynthesis.cancel();
};

export function say(text, language) {
  if (!here || !on() || !text) return;
  const said = new SpeechSynthesisUtterance(text);
  said.lang = language;
  // What is newer matters more.
  speechSynthesis.cancel();
  speechSynthesis.speak(said);
}
