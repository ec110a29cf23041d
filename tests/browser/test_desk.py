"""What is done at the desk, in a real browser: what was learnt, two batches side by side, whose hand pours, a label."""

import json
import re
import unittest

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from bench import BENCH, RECIPE, Bench
from browser import PHONE, Browser
from test_looks import told
from views import SPEED
from waiting import wait_for

# A line of every kind that can be learnt, as the service may tell it.
LINE = {"of": "chalk-white", "name": "Chalk white", "hand": None, "value": 0.42, "spread": 0.04, "unit": "s", "runs": 6, "default": 0.0, "better": True,
        "misses_percent": 38.0, "used": True}
LINES = {
    "stop-lead": [LINE, {**LINE, "hand": "noor", "value": -0.2, "runs": 1, "better": False, "misses_percent": None, "used": False}],
    "drop": [{**LINE, "of": "levelling-drops", "name": "Levelling drops", "value": 0.0404, "spread": 0.004, "unit": "g", "default": 0.031, "used": False}],
    "teaspoon": [], "tablespoon": [],
    "thinner": [{**LINE, "of": "Lagoon round", "name": None, "value": 0.061, "spread": 0.012, "unit": "g/g", "default": None, "better": False, "used": False}],
    "stick": [{**LINE, "of": "", "name": None, "value": 1.25, "spread": 0.12, "unit": "g", "default": None, "better": False, "used": False}],
    "yield": [{**LINE, "of": "eight-rounds", "name": "Eight rounds", "value": 1834.2, "spread": 60.0, "unit": "g/m2", "default": 1830.0, "better": False, "used": False}],
}
SAID = {
    "stop-lead": ("Chalk white", "0.42 s ± 0.04 s earlier, from 6 runs", "noor: 0.20 s ± 0.04 s later, from 1 run",
                  "Compared with the flow alone: on runs it had not seen, it was off by only 38 % as much. The next batch uses it."),
    "drop": ("Levelling drops", "40.4 mg ± 4.0 mg", "Compared with 31.0 mg, as the shelf says: on runs"), "teaspoon": ("Nothing is known yet.",),
    "tablespoon": ("Nothing is known yet.",), "thinner": ("6.10 g ± 1.20 g in 100 g of mix", "Nothing to compare it with."),
    "stick": ("All mixes", "1.25 g ± 0.12 g each time"), "yield": ("Eight rounds", "1834 g ± 60 g on a square metre", "Compared with 1830 g, as the set says: not better so far."),
}
GERMAN = {"stop-lead": "0,42 s ± 0,04 s früher, aus 6 Mal", "thinner": "6,10 g ± 1,20 g auf 100 g Mischung", "drop": "wie das Regal sagt"}


def plain(text):
    """A text whose figures keep to their units."""
    return " ".join(text.split())


def mixed(bench, **more):
    """Mixes a batch to its end and returns its mark."""
    bench.open_batch(**more)
    bench.put_jar()
    bench.finish()
    mark = bench.mark()
    bench.clear_pan()
    return mark


class Learnt(unittest.TestCase):
    def test_every_kind_is_told_in_words_of_the_studio_and_of_each_language(self):
        answer = {"kinds": [{"kind": kind, "on": True, "used_in": "", "lines": lines} for kind, lines in LINES.items()]}
        # Only so can the rules be read into a page that lets in no script of others.
        with Bench() as bench, Browser.get().visitor(PHONE, bypass_csp=True) as visitor:
            bench.attach()
            page = visitor.enter(bench)
            page.route("**/v1/learnt", lambda route: route.fulfill(json=answer))
            page.get_by_role("link", name="History").click()
            page.get_by_role("link", name="What the bench learnt").click()
            for kind, texts in SAID.items():
                shown = plain(self.kind(page, kind).inner_text())
                for text in texts:
                    self.assertIn(text, shown)
            page.get_by_role("button", name="Deutsch").click()
            page.get_by_role("heading", name="Was die Waage gelernt hat").wait_for()
            for kind, text in GERMAN.items():
                self.assertIn(text, plain(self.kind(page, kind).inner_text()))
            # What asks once more is held against the rules of the other views too.
            page.get_by_role("button", name="Vergessen", exact=True).first.click()
            page.get_by_role("group").wait_for()
            self.assertEqual([], [told(one) for one in Axe().run(page).response["violations"]])
            self.assertEqual([], visitor.wrong)

    def test_who_works_switches_and_forgets_once_asked_and_who_looks_on_only_sees_it(self):
        with Bench(clock_rate=SPEED) as bench, Browser.get().visitor(PHONE) as visitor:
            bench.attach()
            mixed(bench)
            page = visitor.enter(bench)
            page.evaluate("location.hash = '#/learnt'")
            leads = self.kind(page, "stop-lead")
            leads.get_by_role("listitem").first.wait_for()
            with Browser.get().visitor(PHONE) as other:
                looks_on = other.enter(bench, "--viewer")
                looks_on.evaluate("location.hash = '#/learnt'")
                self.kind(looks_on, "stop-lead").get_by_role("listitem").first.wait_for()
                expect(looks_on.locator("#desk").get_by_role("button")).to_have_count(0)

            leads.get_by_role("button", name="Switch it off").click()
            expect(page.get_by_role("status")).to_have_text("When stop is said: It is off.")
            expect(leads).to_contain_text("It is off.")
            self.assertFalse(self.told(bench)["on"])
            # It is shown all the same.
            self.assertLess(1, len(self.told(bench)["lines"]))
            leads.get_by_role("button", name="Switch it on").click()
            expect(leads.get_by_role("button", name="Switch it off")).to_be_visible()
            self.assertTrue(self.told(bench)["on"])

            one = leads.get_by_role("listitem").filter(has_text="white")
            one.get_by_role("button", name="Forget").click()
            asked = one.get_by_role("group", name="Forget white?")
            # The way back is where one is.
            expect(asked.get_by_role("button", name="Keep it")).to_be_focused()
            page.keyboard.press("Enter")
            expect(asked).to_have_count(0)
            self.assertIn("white", [line["of"] for line in self.told(bench)["lines"]])
            one.get_by_role("button", name="Forget").click()
            asked.get_by_role("button", name="Forget").click()
            expect(page.get_by_role("status")).to_have_text("white: forgotten.")
            expect(one).to_have_count(0)
            of = [line["of"] for line in self.told(bench)["lines"]]
            self.assertTrue(of and "white" not in of, of)
            leads.get_by_role("button", name="Forget all of it").click()
            leads.get_by_role("group", name="Forget When stop is said?").get_by_role("button", name="Forget").click()
            expect(leads).to_contain_text("Nothing is known yet.")
            self.assertEqual([], self.told(bench)["lines"])
            self.assertEqual([], visitor.wrong)

    def kind(self, page, kind):
        return page.locator("#desk section", has=page.locator(f"#{kind}"))

    def told(self, bench):
        return next(one for one in bench.service.ask("GET", "/v1/learnt")["kinds"] if one["kind"] == "stop-lead")


class SideBySide(unittest.TestCase):
    def test_a_batch_is_put_beside_another_of_its_recipe_first(self):
        with Bench(clock_rate=SPEED) as bench, Browser.get().visitor(PHONE) as visitor:
            bench.attach()
            first = mixed(bench)
            mixed(bench, text="[recipe]\nname = \"Sand\"\nmakes = \"20 g\"\n[[step]]\nadd = \"sand\"\namount = \"20 g\"\nwithin = \"0.5 g\"\n")
            third = mixed(bench)
            bench.service.ask("POST", f"/v1/batches/{first}/outcomes", {"found": ["dried clear"]})
            page = visitor.enter(bench)
            page.evaluate(f"location.hash = '#/history/{third}'")
            # The newest of all is of another recipe.
            expect(page.locator("#beside option").first).to_contain_text(first)
            expect(page.locator("#beside option")).to_have_count(2)
            page.get_by_role("button", name="Side by side").click()
            page.locator(".pair").wait_for()
            self.assertTrue(page.url.endswith(f"#/compare/{third}/{first}"), page.url)
            expect(page.locator("#desk")).to_contain_text("Made from the same recipe text.")
            expect(page.get_by_role("link", name="History")).to_have_attribute("aria-current", "page")
            self.assertRegex(plain(page.locator(".pair").inner_text()), r"base Planned 40\.00 g 40\.00 g Poured (40|39)\.\d\d g (40|39)\.\d\d g Share 53\.\d % 53\.\d %")
            expect(page.get_by_role("row", name=re.compile("What became of it")).locator("td").nth(1)).to_have_text("dried clear")
            page.locator(".pair").get_by_role("link", name=first).click()
            expect(page.locator("#desk h1")).to_contain_text(first)
            self.assertEqual([], visitor.wrong)


class Begun(unittest.TestCase):
    def test_the_hand_that_was_said_pours_every_batch_of_this_browser_until_it_is_taken_back(self):
        with Bench() as bench, Browser.get().visitor(PHONE) as visitor:
            bench.name_folder()
            bench.attach()
            page = visitor.enter(bench)
            sent = []
            page.on("request", lambda request: request.method == "POST" and sent.append(request))
            page.evaluate("location.hash = '#/recipes/lagoon-round'")
            page.locator("#hand").fill(" noor ")
            self.assertEqual("40", page.locator("#hand").get_attribute("maxlength"))
            page.get_by_role("button", name="Mix it").click()
            page.locator("#bench").wait_for()
            self.assertEqual("noor", self.asked(sent, f"{BENCH}/batch")["hand"])
            bench.say({"command": "abort"})
            bench.wait_view("an idle bench", lambda view: view["state"] in ("idle", "aborted"))
            page.evaluate("location.hash = '#/plan/eight-rounds'")
            expect(page.locator("#hand")).to_have_value("noor")
            page.locator("#hand").fill("")
            page.get_by_role("button", name="Mix jar by jar").click()
            page.locator("#bench").wait_for()
            self.assertNotIn("hand", self.asked(sent, f"{BENCH}/set"))
            self.assertEqual([], visitor.wrong)

    def test_a_set_is_rehearsed_from_its_plan_on_a_bench_of_its_own(self):
        with Bench() as bench, Browser.get().visitor(PHONE) as visitor:
            bench.name_folder()
            page = visitor.enter(bench)
            page.evaluate("location.hash = '#/plan/eight-rounds'")
            # With no scale attached nothing can be mixed; a rehearsal brings its own.
            page.get_by_role("button", name="Rehearse it").click()
            page.locator("#bench").wait_for()
            expect(page.locator("#recipe")).to_contain_text("Eight rounds")
            expect(page.locator("#recipe")).to_contain_text("rehearsal")
            expect(page.locator("#jars li")).to_have_count(7)
            self.assertEqual([], visitor.wrong)

    def test_a_label_says_best_before_as_the_folder_was_named_with(self):
        with Bench(clock_rate=SPEED) as bench, Browser.get().visitor(PHONE) as visitor:
            bench.attach()
            mark = mixed(bench)
            page = visitor.enter(bench)
            sent = []
            page.on("request", lambda request: request.method == "POST" and sent.append(request))
            for named, days in ((None, None), ({"best_before_days": 90}, 90)):
                if named:
                    bench.name_folder(**named)
                page.evaluate("location.hash = '#/history'")
                page.locator("#find").wait_for()
                page.evaluate(f"location.hash = '#/history/{mark}'")
                with page.expect_download():
                    page.get_by_role("button", name="Label").click()
                self.assertEqual(days, self.asked(sent, "/v1/labels")["best_before_days"])
            self.assertEqual([], visitor.wrong)

    def test_letters_that_a_label_cannot_draw_are_told_where_it_is_made(self):
        with Bench(clock_rate=SPEED) as bench, Browser.get().visitor(PHONE) as visitor:
            bench.attach()
            mark = mixed(bench, text=RECIPE.replace("Reed green", "ירוק Reed"))
            page = visitor.enter(bench)
            page.evaluate(f"location.hash = '#/history/{mark}'")
            with page.expect_download():
                page.get_by_role("button", name="Label").click()
            told = page.get_by_role("status").filter(has_text="Not all is on the label as it should be")
            expect(told).to_contain_text("י (U+05D9)")
            expect(told).to_contain_text("the code on the label says them")
            self.assertEqual([], visitor.wrong)

    def asked(self, sent, path):
        """Returns the newest message that was sent there."""
        found = wait_for(f"a message to {path}", lambda: [one for one in sent if one.url.endswith(path)])
        return json.loads(found[-1].post_data)


if __name__ == "__main__":
    unittest.main()
