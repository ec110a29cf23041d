"""The German page of a batch in which much went wrong: no sentence on it is English."""

import unittest

from playwright.sync_api import expect

from bench import Bench
from browser import TABLET, Browser
from test_words import ENGLISH
from views import SPEED, Stages

# What the recipe, the person and the scale of these tests say stays in their own words.
THEIRS = ("Reed green", "green-paste", "let it run down the side", "no streaks", "trocken und klar", "base", "white")
# A line of every kind of thing that went wrong here.
LINES = (
    "angehalten: zu viel", "gerettet, Verhältnis stimmt", "zurückgenommen", "die Waage war weg", "die Waage war wieder da",
    "zu viel: green-paste", "jetzt: ansehen: no streaks", "geworden: trocken und klar", "fertig",
)


class German(unittest.TestCase):
    def test_a_batch_with_an_overshoot_a_rescue_an_undo_a_lost_scale_and_an_outcome_is_told_in_german_throughout(self):
        with Bench(clock_rate=SPEED) as bench, Browser.get().visitor(TABLET) as visitor:
            mark = self.much_went_wrong(bench)
            page = visitor.enter(bench)
            page.get_by_role("button", name="Deutsch").click()
            page.evaluate("(mark) => { location.hash = `#/history/${mark}`; }", mark)
            expect(page.locator("#desk h1")).to_contain_text(mark)
            page.locator("#desk details summary").click()
            shown = page.locator("#desk").inner_text().replace("\u00a0", " ")
            for line in LINES:
                self.assertIn(line, shown)
            self.assertEqual(0, page.locator('#desk [lang="en"]').count())
            for text in shown.splitlines():
                for their in THEIRS:
                    text = text.replace(their, "")
                with self.subTest(text=text):
                    self.assertNotRegex(text, ENGLISH)
            self.assertEqual([], visitor.wrong)

    def much_went_wrong(self, bench):
        """Mixes a batch to its end, with a slip, its rescue, an undo and a scale that was away; returns its mark."""
        for stage in Stages(bench):
            if stage == "pouring":
                bench.wait_view("half of it", lambda view: 8.5 < (view["steps"][1]["poured_g"] or 0))
            if stage == "asked":
                # What was chosen is taken back, and chosen again.
                options = bench.view()["question"]["options"]
                bench.say({"command": "answer", "option": next(one["option"] for one in options if one["kind"] == "top-up-exact")})
                bench.wait_doing("pour")
                bench.say({"command": "undo"})
                bench.wait_doing("answer")
            if stage == "done":
                break
        mark = bench.mark()
        bench.service.ask("POST", f"/v1/batches/{mark}/outcomes", {"found": ["trocken und klar"]})
        return mark


if __name__ == "__main__":
    unittest.main()
