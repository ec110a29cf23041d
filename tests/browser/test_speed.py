"""How quick the page is and how still. What is measured is told; only what no busy machine explains is a failure."""

import unittest

from bench import JAR_UG, Bench
from browser import PHONE, TABLET, Browser
from measured import measured
from speed import SHIFTS, at, first_views, frames, late, shown
from test_looks import invited

# The goals are 300 and 50 ms on a machine that has nothing else to do: `tests/browser/run speed` shows them.
VIEW_MS, GENEROUS_VIEW_MS = 300, 2_000
LATE_MS, GENEROUS_LATE_MS = 50, 500
MOST_BYTES = 150_000
FINE = "0.01"
ONE_POUR = '[recipe]\nname = "Long pour"\nmakes = "900 g"\n[[step]]\nadd = "base"\namount = "900 g"\n'


def pouring(bench):
    """Brings a bench to a pour that has far to go."""
    bench.attach()
    bench.open_batch(ONE_POUR)
    bench.put_jar()
    bench.wait_doing("pour")


class Speed(unittest.TestCase):
    def test_the_first_view_is_there_soon_and_light(self):
        with Bench() as bench:
            bench.attach()
            link, state = invited(bench)
            view_ms, fetched = first_views(link, state)
            measured("the first view takes", view_ms, "ms", VIEW_MS)
            measured("the page weighs", fetched, "bytes", MOST_BYTES)
            self.assertLess(view_ms, GENEROUS_VIEW_MS)
            self.assertLess(0, fetched)
            self.assertLess(fetched, MOST_BYTES)

    def test_nothing_moves_while_numbers_change(self):
        with Bench(division=FINE) as bench, Browser.get().visitor(TABLET) as first, Browser.get().visitor(PHONE) as second:
            pouring(bench)
            pages = [visitor.enter(bench) for visitor in (first, second)]
            for page in pages:
                page.locator("#left:text('to go')").wait_for()
                frames(page)
                page.evaluate(SHIFTS)
            # On the way the figure gets a digit more, and once more.
            bench.scale.tell("pour", amount_ug=104_000_000, flow_ug_per_s=10_400_000)
            bench.wait_poured()
            for page, size in zip(pages, ("tablet", "phone"), strict=True):
                with self.subTest(size=size):
                    shown(page, bench, JAR_UG)
                    self.assertEqual([], page.evaluate("window.shifts"))
            # And what moves is seen: nothing above would be worth anything else.
            pages[0].evaluate("document.getElementById('aside').style.paddingTop = '40px'")
            frames(pages[0])
            self.assertNotEqual([], pages[0].evaluate("window.shifts"))

    def test_a_weight_is_painted_soon_after_it_was_read(self):
        with Bench(division=FINE) as bench, Browser.get().visitor() as visitor:
            pouring(bench)
            page = visitor.enter(bench)
            page.locator("#left:text('to go')").wait_for()
            for rate_hz, least in ((10, 30), (80, 60)):
                with self.subTest(rate_hz=rate_hz):
                    late_ms = late(bench, page, JAR_UG, 4, rate_hz)
                    measured(f"at {rate_hz} Hz 99 of 100 figures are painted within", at(late_ms, 0.99), "ms", LATE_MS)
                    self.assertLess(least, len(late_ms), "so few figures were readings")
                    self.assertLess(at(late_ms, 0.99), GENEROUS_LATE_MS)


if __name__ == "__main__":
    unittest.main()
