"""Whole batches, seen and answered in a real browser."""

import re
import time
import unittest

from playwright.sync_api import expect

from bench import BENCH, RECIPE, Bench
from browser import Browser
from home import Home, Service
from measured import measured
from waiting import LIMIT_S

# Keeps every figure that is shown.
FIGURES = """() => {
  const figure = document.querySelector("#figure text");
  window.figures = new Set();
  new MutationObserver(() => window.figures.add(figure.textContent)).observe(figure, { childList: true });
}"""

AGE = re.compile(r"no weight for \d+\ss")
LIMIT_MS = LIMIT_S * 1000
# How soon the page says that something is gone or back is 2 s; a busy machine is given more, and what it took is told.
SOON_MS, GENEROUS_MS = 2_000, 8_000


class Rehearsal(unittest.TestCase):
    def test_a_rehearsed_batch_is_watched_to_its_end(self):
        home = Home()
        self.addCleanup(home.leave)
        service = Service(home)
        self.addCleanup(service.end)
        batch = {"recipe": "reed", "recipes": {"reed": RECIPE}, "size": "as-written"}
        service.ask("POST", "/v1/rehearsals", {"batch": batch, "seed": 4, "speed": 20})
        with Browser.get().visitor() as visitor:
            page = visitor.enter(Invited(home))
            expect(page.locator("#recipe")).to_contain_text("Reed green · rehearsal")
            page.evaluate(FIGURES)
            # It pours and answers by itself; the page is there to be looked at.
            expect(page.locator("#saying")).to_have_text("Done", timeout=LIMIT_MS)
            self.assertGreater(page.evaluate("window.figures.size"), 20)
            expect(page.locator("#steps li:not(.done)")).to_have_count(0)
            self.assertLessEqual(5, page.locator("#steps li.done").count())
            expect(page.locator("#acts button")).to_have_count(0)
            self.assertEqual(visitor.wrong, [])


class Invited:
    """Whoever has the machine beside the scale."""

    def __init__(self, home):
        self.home = home

    invitation = Bench.invitation


class AtTheScale(unittest.TestCase):
    def test_a_batch_goes_on_through_an_overshoot_a_lost_scale_and_a_killed_service(self):
        with Bench() as bench, Browser.get().visitor() as visitor:
            bench.attach()
            bench.open_batch()
            page = visitor.enter(bench)
            saying = page.locator("#saying")
            expect(saying).to_have_text("Put the empty jar on the pan")
            bench.put_jar()
            expect(saying).to_have_text("Pour base to 40.0 g", timeout=LIMIT_MS)
            bench.wait_judged(bench.pour())

            self.overshoot(bench, page)
            self.lost_scale(bench, page)
            self.killed_service(bench, page)

            expect(saying).to_contain_text("Pour white to 17.", timeout=LIMIT_MS)
            bench.wait_judged(bench.pour())
            expect(saying).to_have_text("Done", timeout=LIMIT_MS)
            self.logged(bench)
            self.assertEqual(visitor.wrong, [])

    def overshoot(self, bench, page):
        """Three grams too much: the card that keeps the ratio is chosen by a click, and its pour poured."""
        expect(page.locator("#saying")).to_have_text("Pour green-paste to 20.0 g")
        bench.pour(more_g=3)
        expect(page.locator("body")).to_have_class("over", timeout=LIMIT_MS)
        expect(page.locator("#left")).to_contain_text("g too much")
        card = page.locator(".way:not([aria-disabled=true])", has=page.locator("li")).first
        card.wait_for(timeout=LIMIT_MS)
        expect(card.locator("li").first).to_have_text("6 g base")
        card.click()
        expect(page.locator("#asked")).to_be_hidden()
        expect(page.locator("#saying")).to_contain_text("Pour base", timeout=LIMIT_MS)
        bench.wait_judged(bench.pour())
        expect(page.locator("#saying")).to_have_text("Look: no streaks", timeout=LIMIT_MS)

    def lost_scale(self, bench, page):
        """Nothing stale is shown as live: the figure is grey, and how old the weight is stands above it."""
        body, health = page.locator("body"), page.locator("#health")
        shown = page.locator("#figure").text_content()
        self.assertNotIn("stale", body.get_attribute("class") or "")
        gone = time.monotonic()
        bench.scale.tell("unplug")
        page.locator("body.stale").wait_for(timeout=GENEROUS_MS)
        measured("a lost scale is seen after", (time.monotonic() - gone) * 1000, "ms", SOON_MS)
        expect(health).to_have_class("health bad")
        expect(health).to_contain_text("was unplugged or switched off")
        expect(health).to_contain_text(AGE)
        self.assertIn(page.locator("#figure").text_content(), ("– –", shown))
        live = page.evaluate("getComputedStyle(document.querySelector('#figure text')).opacity")
        self.assertLess(float(live), 1)
        back = time.monotonic()
        bench.scale.tell("replug")
        page.locator("body:not(.stale)").wait_for(timeout=GENEROUS_MS)
        measured("a scale that is back is seen after", (time.monotonic() - back) * 1000, "ms", GENEROUS_MS)
        expect(health).to_have_class("health")

    def killed_service(self, bench, page):
        """The service is killed in the middle of a batch; the page finds the new one by itself."""
        page.evaluate("window.stillTheSame = true")
        bench.service.cut_off()
        page.locator("body.stale").wait_for(timeout=GENEROUS_MS)
        expect(page.locator("#health")).to_contain_text("the service does not answer")
        expect(page.locator("#health")).to_contain_text(AGE)
        bench.service.start()
        answers = time.monotonic()
        page.locator("body:not(.stale)").wait_for(timeout=GENEROUS_MS)
        measured("a service that is back is seen after", (time.monotonic() - answers) * 1000, "ms", SOON_MS)
        self.assertTrue(page.evaluate("window.stillTheSame"), "the page was loaded anew")
        expect(page.locator("#saying")).to_have_text("Look: no streaks", timeout=LIMIT_MS)
        page.get_by_role("button", name="Next").click()

    def logged(self, bench):
        """The log has what the jar has, within a division for each addition."""
        record = bench.record()
        poured = {line["name"]: line["poured_g"] for line in record["contents"]}
        for name, grams in {"base": 46, "green-paste": 23, "white": 17.25}.items():
            self.assertAlmostEqual(poured[name], grams, delta=0.21, msg=str(record))
        self.assertAlmostEqual(record["in_jar_g"], bench.contents_g(), delta=0.11)
        self.assertEqual(bench.service.ask("GET", BENCH)["doing"]["what"], "complete")


if __name__ == "__main__":
    unittest.main()
