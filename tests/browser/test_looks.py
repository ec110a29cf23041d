"""What everybody can see and use: each view, in light and dark, on a phone, a tablet and a desktop."""

import unittest

from axe_playwright_python.sync_playwright import Axe

from bench import Bench
from browser import PHONE, SCHEMES, SIZES, TABLET, Browser
from views import SPEED, at_each_stage, go_to

# The narrowest there is: WCAG 2.2, 1.4.10 (reflow) asks for 320 CSS pixels.
NARROW = (320, 640)
# A wet finger: our own measure, larger than the 24 and 44 pixels of WCAG 2.2, 2.5.8 and 2.5.5.
LEAST_PX = 64

BUTTONS = """least => [...document.querySelectorAll("button")].filter((button) => button.checkVisibility())
  .map((button) => [button.textContent, button.getBoundingClientRect()])
  .filter(([, { width, height }]) => width < least - 0.01 || height < least - 0.01)
  .map(([text, { width, height }]) => `${text}: ${width} × ${height}`)"""

COVERED = """wanted => wanted.filter((selector) => {
  const one = document.querySelector(selector), { left, top, width, height } = one.getBoundingClientRect();
  const above = document.elementFromPoint(left + width / 2, top + height / 2);
  return !above || !(one.contains(above) || above.contains(one));
})"""

USABLE = """() => [...document.querySelectorAll("button, input, a[href], select, textarea, [tabindex='0']")]
  .filter((one) => one.checkVisibility() && !one.disabled).map((one, place) => { one.dataset.place = place; return one.dataset.place; })"""

FOCUSED = """() => {
  const one = document.activeElement;
  const { outlineStyle, outlineWidth } = getComputedStyle(one);
  return { place: one.dataset.place ?? null, seen: outlineStyle !== "none" && parseFloat(outlineWidth) >= 2 };
}"""


class Looks(unittest.TestCase):
    def test_every_view_is_found_faultless_fits_and_is_reached_by_keys(self):
        """The rules are those of PyPI `axe-playwright-python`, all that it has on; the rest is measured in the page."""
        axe, known = Axe(), None
        for bench, views in at_each_stage():
            known = known or invited(bench)
            link, state = known
            for scheme in SCHEMES:
                for view in views:
                    # Only so can the rules be read into a page that lets in no script of others.
                    with Browser.get().visitor(
                        scheme=scheme, storage_state=None if view.stranger else state, bypass_csp=True
                    ) as visitor:
                        self.look(visitor, link, view, bench, scheme, axe)

    def look(self, visitor, link, view, bench, scheme, axe):
        page = visitor.page
        go_to(page, link, view, bench)
        for name, size in SIZES.items():
            visitor.size(size)
            with self.subTest(view=view.name, scheme=scheme, size=name):
                found = axe.run(page).response["violations"]
                self.assertEqual([], [told(one) for one in found])
                self.assertEqual([], page.evaluate(COVERED, view.at_once), "not seen at once")
                if scheme == "light":
                    self.assertEqual([], page.evaluate(BUTTONS, LEAST_PX), "a button is too small")
                    self.fits(page)
        if scheme == "light":
            with self.subTest(view=view.name, size="narrow"):
                visitor.size(NARROW)
                self.fits(page)
                self.assertEqual([], page.evaluate(BUTTONS, LEAST_PX), "a button is too small")
            with self.subTest(view=view.name, by="keys"):
                visitor.size(TABLET)
                self.reached(page)
        with self.subTest(view=view.name, scheme=scheme):
            self.assertEqual([], visitor.wrong)

    def fits(self, page):
        wide, shown = page.evaluate("[document.scrollingElement.scrollWidth, innerWidth]")
        self.assertLessEqual(wide, shown, "it scrolls sideways")

    def reached(self, page):
        """Tab alone leads to everything that can be used, and where one is can be seen."""
        page.evaluate("document.activeElement.blur()")
        wanted, reached, unseen = set(page.evaluate(USABLE)), set(), []
        for _ in range(len(wanted) + 2):
            page.keyboard.press("Tab")
            focused = page.evaluate(FOCUSED)
            if focused["place"] is not None:
                reached.add(focused["place"])
                if not focused["seen"]:
                    unseen.append(focused["place"])
        self.assertEqual(wanted, reached)
        self.assertEqual([], unseen, "nothing shows where one is")


class Keys(unittest.TestCase):
    def test_a_batch_is_entered_answered_and_undone_by_keys_alone(self):
        with Bench(clock_rate=SPEED) as bench, Browser.get().visitor(PHONE) as visitor:
            bench.attach()
            bench.open_batch()
            page = visitor.page
            link, code = bench.invitation().split("#")
            page.goto(link)
            page.locator("#code").wait_for()
            # The field is where one is at once.
            page.keyboard.type(code)
            page.keyboard.press("Enter")
            page.locator("#bench").wait_for()
            bench.put_jar()
            bench.wait_judged(bench.pour())
            bench.wait_doing("pour")
            bench.pour(more_g=3)
            page.locator(".way").first.wait_for()
            # To the first card that pours something, by Tab; Enter on it chooses it.
            card = page.locator(".way:not([aria-disabled=true])", has=page.locator("li")).first
            number = card.locator("strong").text_content().split(".")[0]
            self.tab_to(page, f"{number}.")
            page.keyboard.press("Enter")
            page.locator("#saying:text('Pour base')").wait_for()
            # Back and once more, by the number of the card.
            page.evaluate("document.activeElement.blur()")
            page.keyboard.press("Backspace")
            page.locator(".way").first.wait_for()
            page.keyboard.press(number)
            page.locator("#saying:text('Pour base')").wait_for()
            bench.wait_judged(bench.pour())
            page.locator("#saying:text('Look')").wait_for()
            page.keyboard.press("PageDown")
            page.locator("#saying:text('Pour white')").wait_for()
            bench.finish()
            page.locator("#saying:text-is('Done')").wait_for()
            self.assertEqual([], visitor.wrong)

    def test_no_key_says_that_the_scale_was_tared_when_the_jar_was_lifted(self):
        with Bench(clock_rate=SPEED) as bench, Browser.get().visitor(PHONE) as visitor:
            bench.attach()
            bench.open_batch()
            page = visitor.enter(bench)
            bench.put_jar()
            bench.wait_judged(bench.pour())
            bench.scale.tell("load", jar_ug=0)
            page.locator("#saying:text('Put the jar back')").wait_for()
            sent = []
            page.on("request", lambda request: request.method == "POST" and sent.append(request.post_data))
            for key in ("PageDown", "Enter", "ArrowRight"):
                page.keyboard.press(key)
            # A pause is said after them, so whatever they had said is there too.
            page.keyboard.press(" ")
            page.locator("#saying:text('Paused')").wait_for()
            self.assertEqual(['{"command":"pause"}'], sent)
            self.assertEqual([], visitor.wrong)

    def tab_to(self, page, begins):
        for _ in range(40):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.textContent").startswith(begins):
                return
        self.fail(f"Tab does not lead to {begins!r}")


def invited(bench):
    """Lets a browser in; returns the address of the page and what the browser knows from then on."""
    with Browser.get().visitor() as visitor:
        visitor.enter(bench)
        return visitor.page.url, visitor.known()


def told(violation):
    nodes = "; ".join(node["html"][:120] + " " + (node.get("failureSummary") or "")[:300] for node in violation["nodes"][:3])
    return f"{violation['id']}: {violation['help']}: {nodes}"


if __name__ == "__main__":
    unittest.main()
