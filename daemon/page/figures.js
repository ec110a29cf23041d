// Numbers as a person reads them, in the way of a language.

/** Between a number and its unit: no line breaks there. */
const BLANK = "\u00a0";

/** Digits behind the point for a scale of this division in grams. */
export function places(division) {
  if (!division) return 1;
  return Math.max(0, Math.min(4, Math.ceil(-Math.log10(division) - 1e-9)));
}

/** `1:05` of seconds, never below nothing. */
export function clock(seconds) {
  const whole = Math.max(0, Math.ceil(seconds - 1e-6));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

/** Rounds a measure half to even, as the service does: it counts whole millionths, so a half is a half. */
function measured(value, digits) {
  const step = 10 ** (6 - digits);
  const millionths = Math.round(Math.abs(value) * 1e6);
  let steps = Math.floor(millionths / step);
  const twice = 2 * (millionths - steps * step);
  if (twice > step || (twice === step && steps % 2 === 1)) steps += 1;
  return (value < 0 && steps > 0 ? "-" : "") + (steps / 10 ** digits).toFixed(digits);
}

/** Rounds an estimate half to even; `toFixed` alone rounds a half up. */
function estimated(value, digits) {
  const text = value.toFixed(digits);
  const half = /^50+$/.test(Math.abs(value).toFixed(digits + 30).slice(-30));
  return half && Number(text.slice(-1)) % 2 === 1 ? (value - Math.sign(value) * 0.25 * 10 ** -digits).toFixed(digits) : text;
}

const trimmed = (text) => (text.includes(".") ? text.replace(/\.?0+$/, "") : text);
/** How many digits of a mass are worth saying: three below a gram, and fewer above, down to `least`. */
const worth = (value, least) => Math.max(least, [1, 10, 100].filter((size) => Math.abs(value) < size).length);

/** Returns how numbers are written in a language whose decimals stand behind this mark. */
export function figures(mark) {
  const said = (text, unit) => text.replace("-", "−").replace(".", mark) + (unit ? BLANK + unit : "");
  const all = {
    /** As a scale shows it, without a unit and with one. */
    grams: (value, digits) => said(measured(value, digits)),
    weighed: (value, digits) => said(measured(value, digits), "g"),
    /** In a sentence of the job; in one of what is to be known before; exactly; and to a tenth. */
    mass: (value) => said(trimmed(measured(value, worth(value, 1))), "g"),
    brief: (value) => said(trimmed(measured(value, worth(value, 0))), "g"),
    whole: (value) => said(trimmed(measured(value, 6)), "g"),
    tenth: (value) => said(measured(value, 1), "g"),
    millilitres: (value) => said(trimmed(measured(value, 1)), "ml"),
    number: (value) => said(String(value)),
    seconds: (value) => said(String(value), "s"),
    about: (value, digits, unit) => said(estimated(value, digits), unit),
    percent: (share, digits) => said(estimated(100 * share, digits), "%"),
    /** In percent, as exactly as is worth writing. */
    part: (share) => said(trimmed(estimated(100 * share, 2)), "%"),
    share: (share) => all.percent(share, share < 0.1 ? 1 : 0),
    /** How warm and damp a room is, as far as it was said. */
    room: ({ celsius, humidity_percent: humid }) => [[celsius, "°C"], [humid, "%"]].filter(([value]) => value !== null)
      .map(([value, unit]) => said(String(value), unit)).join(", "),
    /** A stretch of work: seconds, whole minutes, or hours and minutes. */
    stretch: (seconds) => {
      const minutes = Math.round(seconds / 60);
      if (seconds < 60) return all.seconds(Math.round(seconds));
      const [hours, rest] = [Math.floor(minutes / 60), said(String(minutes % 60), "min")];
      return hours === 0 ? rest : minutes % 60 === 0 ? said(String(hours), "h") : `${said(String(hours), "h")} ${rest}`;
    },
    /** `40 s`, `2 min`, `2 min 5 s`, `8 h`. */
    time: (seconds) => {
      const whole = Math.floor(seconds);
      if (whole < 120) return all.seconds(seconds);
      if (whole % 3600 === 0) return said(String(whole / 3600), "h");
      const minutes = said(String(Math.floor(whole / 60)), "min");
      return whole % 60 === 0 ? minutes : `${minutes} ${all.seconds(whole % 60)}`;
    },
  };
  return all;
}
