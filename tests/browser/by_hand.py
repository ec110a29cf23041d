"""What `tests/browser/run` does."""

import sys
from pathlib import Path

from bench import JAR_UG, Bench
from browser import Browser
from listeners import PAGES, listeners
from measured import measured
from pictures import pictures, readme
from speed import at, first_views, late
from test_looks import invited
from test_speed import FINE, LATE_MS, MOST_BYTES, VIEW_MS, pouring

LISTENING_PERCENT = 5


def speed():
    with Bench() as bench:
        bench.attach()
        view_ms, fetched = first_views(*invited(bench), times=15)
        measured("the first view takes", view_ms, "ms", VIEW_MS)
        measured("the page weighs", fetched, "bytes", MOST_BYTES)


def latency():
    for rate_hz in (10, 80):
        with Bench(division=FINE) as bench, Browser.get().visitor() as visitor:
            pouring(bench)
            page = visitor.enter(bench)
            page.locator("#left:text('to go')").wait_for()
            # The first ones find the page still at its first drawing.
            late(bench, page, JAR_UG, 2, rate_hz)
            late_ms = late(bench, page, JAR_UG, 20, rate_hz)
            print(f"{len(late_ms)} figures at {rate_hz} Hz, half within {at(late_ms, 0.5):.0f} ms, the last after {late_ms[-1]:.0f} ms")
            measured(f"at {rate_hz} Hz 99 of 100 are painted within", at(late_ms, 0.99), "ms", LATE_MS)


def cost():
    for pages, percent in listeners().items():
        measured(f"with {pages} of {PAGES} pages the service takes", percent, "% of a core", LISTENING_PERCENT)


def main():
    match sys.argv[1:]:
        case ["speed"]:
            speed()
        case ["latency"]:
            latency()
        case ["listeners"]:
            cost()
        case ["pictures", folder]:
            pictures(Path(folder))
        case ["readme"]:
            readme()
        case other:
            raise SystemExit(f"`{' '.join(other)}` is none of: speed, latency, listeners, pictures FOLDER, readme")


try:
    main()
finally:
    Browser.end()
