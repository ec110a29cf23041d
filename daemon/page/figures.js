// Numbers as a person reads them.

/** Digits behind the point for a scale of this division in grams. */
export function places(division) {
  if (!division) return 1;
  return Math.max(0, Math.min(4, Math.ceil(-Math.log10(division) - 1e-9)));
}

export const grams = (value, digits) => (Math.abs(value) < 0.5 * 10 ** -digits ? 0 : value).toFixed(digits).replace("-", "−");
export const percent = (share) => `${(100 * share).toFixed(share < 0.1 ? 1 : 0)} %`;

/** `1:05` of seconds, never below nothing. */
export function clock(seconds) {
  const whole = Math.max(0, Math.ceil(seconds - 1e-6));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}
