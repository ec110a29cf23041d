"""Pictures of the page, to be looked at."""

from bench import JAR_UG, Bench
from browser import SCHEMES, SIZES, TABLET, Browser
from home import REPOSITORY
from speed import frames
from test_looks import invited
from views import at_each_stage, go_to

README = REPOSITORY / "fixtures/page/bench.png"
MOST_BYTES = 150_000

# Made for the picture.
LAGOON = """
[recipe]
name   = "Lagoon round"
makes  = "150 g"
within = "0.5 g"

[[step]]
add    = "Pearl medium"
amount = "90 g"

[[step]]
add    = "Blue paste"
amount = "24 g"
note   = "slowly: it covers more than it looks"

[[step]]
stir   = "40 s"

[[step]]
add    = "Chalk white"
amount = "36 g"
"""


def pictures(folder):
    """Writes each view at each size in light and dark."""
    folder.mkdir(parents=True, exist_ok=True)
    known = None
    for bench, views in at_each_stage():
        known = known or invited(bench)
        link, state = known
        for scheme in SCHEMES:
            for view in views:
                with Browser.get().visitor(scheme=scheme, storage_state=None if view.stranger else state) as visitor:
                    go_to(visitor.page, link, view, bench)
                    for name, size in SIZES.items():
                        visitor.size(size)
                        take(visitor.page, folder / f"{view.name.replace(' ', '-')}-{name}-{scheme}.png")


def readme():
    """Writes the picture of the README: a pour that is nearly there."""
    README.parent.mkdir(exist_ok=True)
    with Bench() as bench, Browser.get().visitor(TABLET) as visitor:
        # As the service sees it from its folder: the path of a folder made for a moment tells nobody anything.
        bench.scale.link = "bench-scale"
        bench.attach()
        bench.open_batch(LAGOON)
        page = visitor.enter(bench)
        bench.put_jar()
        bench.wait_judged(bench.pour())
        page.locator("#saying:text('Blue paste')").wait_for()
        bench.scale.tell("pour", amount_ug=18_600_000, flow_ug_per_s=6_000_000)
        bench.wait_poured()
        page.locator("#left:text('5.4 g to go')").wait_for()
        assert bench.scale.tell("truth")["load_ug"] > JAR_UG
        take(page, README)
    size = README.stat().st_size
    if MOST_BYTES <= size:
        raise SystemExit(f"{README} has {size} bytes; fewer than {MOST_BYTES} are wanted")


def take(page, path):
    page.evaluate("document.activeElement.blur()")
    frames(page)
    # What glides comes to rest first.
    page.evaluate("Promise.all(document.getAnimations().map((one) => one.finished))")
    page.screenshot(path=path, animations="disabled")
    print(path, flush=True)
