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
export const way = (option, asked, aim, words) => [parts(option, asked, aim, words)].flat().join("");

/** The same for a card that lists what is poured: what comes of it, and what is to be done beside pouring. */
export function card(option, asked, aim, words) {
  const told = parts(option, asked, aim, words);
  if (!Array.isArray(told) || option.pours.length === 0) return { ends: [told].flat().join("") };
  const [before, , behind, ends] = told;
  const trim = (text) => text.replace(/^[,: ]+|[,: ]+$/g, "");
  return { before: trim(before), behind: trim(behind), ends };
}

function parts(option, asked, aim, words) {
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

/** What was remarked of a recipe, and what to do about it; what makes it useless is said as the service says it. */
export function remark(line, words) {
  const [text, help] = words.remark[line.remark?.what]?.(line.remark) ?? [];
  return text ? { text, help } : { ...own(line.message), help: line.help };
}

/** What is the matter with a plan, by the words of the desk, and what that rests on. */
export function matter({ said: of, text, basis }, said) {
  const [told, rests] = said.matter[of?.what]?.(of) ?? [];
  return told ? { text: `${told} (${rests})` } : own(`${text} (${basis})`);
}

/** What happened in a batch, by the words of the desk. */
export function entry(line, words) {
  const known = words.desk.happened[line.said?.what];
  const of = (step) => (step ? title({ action: step }, words) : "");
  return known ? { text: known.call ? known(line.said, of(line.said.step), of, words) : known } : own(line.text);
}

/** What is not on a label as it should be, by the words of the desk. */
export const onLabel = (remark, said) => [remark.mark, said.labelled[remark.what](remark)].filter(Boolean).join(": ");

/** What is worth a second look on the shelf, by the words of the desk. */
export function onShelf(line, said) {
  const known = said.onShelf[line.said?.what];
  const of = line.name ?? line.ingredient;
  return known ? { text: known(line.said, of, line.lot ? said.lotOf(of, line.lot) : of) } : own(line.text);
}

/** What is to be known before, with the ways round it. */
export function concern(line, words) {
  if (line.remark) {
    const { text, lang, help } = remark({ ...line, message: line.text, help: line.ways_round.join("; ") }, words);
    return { text: [text, help].filter(Boolean).join("; "), lang };
  }
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
