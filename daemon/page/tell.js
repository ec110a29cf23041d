// What the service tells, in the words of a table. Where a table has no words for it, it is said as the service says
// it, in English, and marked so, for a screen reader to say it rightly.

/** The language of the service's own sentences. */
const ITS_OWN = "en";

const own = (text) => ({ text, lang: ITS_OWN });
const said = (table, word, text, ...facts) => (table?.[word] ? { text: table[word](...facts) } : own(text));

/** The title of a step. */
export const title = (step, words) => said(words.title, step.action?.what, step.title, step.action).text;

export const question = (asked, words) => said(words.question, asked.about, asked.text, asked).text;

/** A way out: `aim` is what the batch is to weigh now, in grams. */
export function way(option, asked, aim, words) {
  const kind = asked.about === "too-thin" && option.kind === "accept" ? "leave" : option.kind;
  return said(words.way, kind, option.text, option, Math.max(aim ?? 0, option.total_g), mostChanged(option.shares)).text;
}

/** The share that is farthest from what it should be, where the difference can be seen in a tenth of a percent. */
function mostChanged(shares) {
  const off = (share) => Math.abs(share.result - share.planned);
  const most = shares.reduce((one, other) => (one && off(one) > off(other) ? one : other), null);
  return most && off(most) >= 5e-4 ? most : null;
}

export const whyNot = (option, words) => said(words.whyNot, option.obstacle?.what, option.why_not ?? "", option.obstacle).text;
export const cue = (told, words) => said(words.cue, told.cue, told.text, told, told.action && title({ action: told.action }, words)).text;
export const count = (doing, words) => (doing.counted ? words.count(doing.counted) : doing.count);
export const advice = (doing, words) => said(words.advice, doing.advised?.what, doing.advice ?? "", doing.advised).text;
export const water = (doing, words) => (doing.watered ? words.water(doing.watered) : doing.water);

/** What is to be known before, with the ways round it. */
export function concern(line, words) {
  if (!line.concern) return own([line.text, ...line.ways_round].join("; "));
  const rounds = (line.rounds ?? []).map((round, place) => said(words.round, round.what, line.ways_round[place], round).text);
  return { text: [said(words.concern, line.concern.what, line.text, line.concern).text, ...rounds].join("; ") };
}

/** What is wrong, of a bench or a scale; the service says it more exactly, which follows as `more`. */
export function trouble(of, words) {
  const exactly = [of.trouble, of.hint].filter(Boolean).join(": ");
  const known = words.trouble?.[of.trouble_kind];
  return known ? { text: known, more: exactly } : own(exactly);
}

/** Why a command was refused. */
export function refusal(problem, words) {
  const known = words.reason?.[problem.reason];
  if (known) return { text: words.refused(known) };
  return words.language === ITS_OWN ? own(words.refused(problem.message)) : { text: words.refused(), more: problem.message };
}
