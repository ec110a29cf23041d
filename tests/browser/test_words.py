"""What the service tells, in the page's words: in English what its own text says, and in another language words throughout."""

import json
import unittest

from bench import Bench
from browser import Browser
from home import REPOSITORY

TOLD = REPOSITORY / "fixtures/page/told.json"

# What the author of the fixture wrote, and what a person said.
AUTHORS = ("label the jar", "a fine sieve", "no streaks", "the first panel's jar", "it dries slower", "beside the window", "2026-12-30, hardens")
# Words that every English sentence of the service has some of, and no German one.
ENGLISH = r"(?i)\b(the|of|from|and|with|were|than|it|its|this|there|too|much|poured|jar|weighed|began|within|held|answered|chosen|total|still)\b"

# Each text of the fixture with what the page makes of its data, in a language.
SAID = """async ([told, language]) => {
  const [tell, { default: words }, { default: desk }] = await Promise.all(
    ["tell.js", `words/${language}.js`, `words/desk-${language}.js`].map((name) => import(`/page/${name}`)));
  const pairs = [];
  const said = (text, made) => pairs.push([text, made]);
  for (const step of told.steps) said(step.title, tell.title(step, words));
  for (const { question: asked, planned_g: planned } of told.questions) {
    said(asked.text, tell.question(asked, words));
    for (const option of asked.options) {
      said(option.text, tell.way(option, asked, planned, words));
      if (option.why_not) said(option.why_not, tell.whyNot(option, words));
    }
  }
  for (const cue of told.cues) said(cue.text, tell.cue(cue, words));
  for (const line of [...told.concerns, ...told.remarks]) said([line.text, ...line.ways_round].join("; "), tell.concern(line, words).text);
  for (const line of told.thinning) {
    said(line.advice, tell.advice(line, words));
    said(line.water, tell.water(line, words));
  }
  for (const line of told.counts) said(line.count, tell.count(line, words));
  for (const line of told.plan) said(`${line.text} (${line.basis})`, tell.matter(line, desk).text);
  for (const line of told.happened) said(line.text, tell.entry(line, { ...words, desk }).text);
  for (const { planned_g: planned, way } of told.taken) {
    said(way.text, tell.way(way, way, planned, words));
    for (const other of way.others) {
      said(other.text, tell.way(other, way, planned, words));
      if (other.why_not) said(other.why_not, tell.whyNot(other, words));
    }
  }
  for (const line of told.labels) said(line.text, tell.onLabel(line.said, desk));
  for (const line of told.shelf) said(line.text.replaceAll("`", ""), tell.onShelf({ ...line, name: line.ingredient }, desk).text);
  return pairs;
}"""


class Words(unittest.TestCase):
    def setUp(self):
        self.told = json.loads(TOLD.read_text())

    def test_english_says_what_the_services_own_text_says(self):
        for text, made in self.said("en"):
            with self.subTest(text=text):
                self.assertEqual(text, made.replace("\u00a0", " ").replace("\u2212", "-"))

    def test_german_has_words_for_every_text_and_holds_nothing_that_is_no_word(self):
        for text, made in self.said("de"):
            with self.subTest(text=text):
                self.assertNotRegex(made, r"\b(undefined|null|NaN)\b|\[object")
                made = made.replace("\u00a0", " ")
                # What an author wrote is the same in every language.
                for author in AUTHORS:
                    text, made = text.replace(author, ""), made.replace(author, "")
                self.assertNotRegex(made, ENGLISH)
                if " " in text.strip():
                    self.assertNotEqual(text, made)

    def said(self, language):
        with Bench() as bench, Browser.get().visitor() as visitor:
            page = visitor.enter(bench)
            return page.evaluate(SAID, [self.told, language])


if __name__ == "__main__":
    unittest.main()
