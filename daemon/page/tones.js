// Tones: their spacing closes as the target comes, and stop, over and done each sound like nothing else.

const KEY = "tarehand.tones";
export const on = () => localStorage.getItem(KEY) === "on";

let audio = null;
let next = 0;

/** Browsers let a page sound only after it was touched; switching it on is a touch. */
export function set(wanted) {
  localStorage.setItem(KEY, wanted ? "on" : "off");
  if (wanted) wake();
}

function wake() {
  audio ??= new AudioContext();
  if (audio.state === "suspended") audio.resume();
}

function tone(hertz, from, seconds, kind = "sine") {
  const at = audio.currentTime + from;
  const source = new OscillatorNode(audio, { frequency: hertz, type: kind });
  const loud = new GainNode(audio, { gain: 0 });
  loud.gain.setValueAtTime(0, at);
  loud.gain.linearRampToValueAtTime(0.25, at + 0.01);
  loud.gain.linearRampToValueAtTime(0, at + seconds);
  source.connect(loud).connect(audio.destination);
  source.start(at);
  source.stop(at + seconds);
}

/** Between two ticks in milliseconds, by how much of the pour is left from 1 to 0: far apart, then nearly one. */
export const spacing = (left) => 90 + 1100 * Math.max(0, Math.min(1, left));

/** Ticks while something is poured. */
export function pouring(left, time) {
  if (!on() || time < next) return;
  wake();
  tone(660, 0, 0.05);
  next = time + spacing(left);
}

const SOUNDS = {
  stop: () => tone(880, 0, 0.45, "square"),
  over: () => { tone(330, 0, 0.25, "sawtooth"); tone(247, 0.28, 0.4, "sawtooth"); },
  done: () => { tone(523, 0, 0.16); tone(659, 0.18, 0.16); tone(784, 0.36, 0.3); },
};

export function sound(which) {
  if (!on() || !SOUNDS[which]) return;
  wake();
  SOUNDS[which]();
}
