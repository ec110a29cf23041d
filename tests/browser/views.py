"""The views of the page, and at which stage of a batch each is looked at.

A new view is a row of VIEWS.
"""

from dataclasses import dataclass

from bench import Bench

# Faster than the wall's clock: nothing here is about time.
SPEED = 5


@dataclass(frozen=True)
class View:
    """What the page shows at an address while the bench is at a stage."""

    name: str
    stage: str
    address: str = ""
    """Behind the mark of the address: `#/history`; nothing is the bench itself. `{mark}` is the newest batch of the log, `{before}` the one before it."""

    shows: str = "#bench"
    """It is drawn once this is seen."""

    at_once: tuple = ()
    """What is seen without scrolling and without anything over it, on every screen."""

    stranger: bool = False
    """Seen by somebody who was not let in yet."""


# At the bench nobody has a hand free to scroll with.
AT_ONCE = ("#saying", "#figure", "#acts button")

VIEWS = [
    View("gate", "no bench", shows="#gate #code", stranger=True),
    View("no bench", "no bench", shows="#saying:text('Nothing is being mixed')"),
    View("idle", "idle", shows="#recipe:text-is('No batch')"),
    View("jar", "jar", shows="#saying:text('Put the empty jar')", at_once=AT_ONCE),
    View("pouring", "pouring", shows="#left:text('to go')", at_once=(*AT_ONCE, "#left", "#beam")),
    View("question with cards", "asked", shows="#ways .way", at_once=(*AT_ONCE, "#ways .way strong", "#ways .way li")),
    View("scale lost", "lost", shows="body.stale #health.bad", at_once=(*AT_ONCE, "#health")),
    View("done", "done", shows="#saying:text-is('Done')"),
    View("recipes", "done", "#/recipes", shows="#desk h1"),
    View("recipe", "done", "#/recipes/lagoon-round", shows="#desk h1"),
    View("plan", "done", "#/plan/eight-rounds", shows="#desk h1"),
    View("shelf", "done", "#/shelf", shows="#desk h1"),
    View("history", "done", "#/history", shows="#desk h1"),
    View("batch", "done", "#/history/{mark}", shows="#desk h1"),
    View("batch of two", "two", "#/history/{mark}", shows="#beside"),
    View("side by side", "two", "#/compare/{mark}/{before}", shows="#desk .pair"),
    View("learnt", "two", "#/learnt", shows="#desk .learnt li"),
]


class Stages:
    """Takes a bench from stage to stage, in the order in which a batch comes to them."""

    def __init__(self, bench):
        self.bench = bench

    def __iter__(self):
        for name, go in (
            ("no bench", lambda: None), ("idle", self.bench.attach), ("jar", self.bench.open_batch), ("pouring", self._pouring),
            ("asked", self._asked), ("lost", self._lost), ("done", self._done),
            ("two", self._two),
        ):
            go()
            yield name

    def _pouring(self):
        self.bench.put_jar()
        self.bench.wait_judged(self.bench.pour())
        self.bench.wait_doing("pour")
        # Half of it, and then it waits.
        self.bench.scale.tell("pour", amount_ug=9_000_000, flow_ug_per_s=3_000_000)

    def _asked(self):
        self.bench.pour(more_g=3)
        self.bench.wait_view("cards", lambda view: view["question"] and view["question"]["options"])

    def _lost(self):
        self.bench.scale.tell("unplug")
        self.bench.wait_view("the scale to be missed", lambda view: view["scale"]["trouble"])

    def _done(self):
        self.bench.scale.tell("replug")
        self.bench.wait_view("the scale to be heard", lambda view: view["scale"]["open"])
        option = next(one["option"] for one in self.bench.view()["question"]["options"] if one["feasible"] and one["pours"])
        self.bench.say({"command": "answer", "option": option})
        self.bench.finish()

    def _two(self):
        """The same recipe once more, with what became of the first; a hand that was said teaches beside the usual one."""
        first = self.bench.mark()
        found = {"found": ["dried clear", "a wrinkle at the edge"], "note": "beside the window"}
        self.bench.service.ask("POST", f"/v1/batches/{first}/outcomes", found)
        self.bench.clear_pan()
        self.bench.open_batch(hand="noor")
        self.bench.put_jar()
        self.bench.finish()


def at_each_stage():
    """Goes through a batch and returns, stage by stage, the bench and the views to be looked at there."""
    with Bench(clock_rate=SPEED) as bench:
        bench.name_folder()
        for stage in Stages(bench):
            yield bench, [view for view in VIEWS if view.stage == stage]


def go_to(page, link, view, bench):
    """Goes to a view; `link` is the address of the page."""
    address = view.address
    if "{mark}" in address:
        mark, *before = bench.marks()
        address = address.format(mark=mark, before=before[0] if before else None)
    page.goto("about:blank")
    page.goto(link + address)
    page.locator(view.shows).first.wait_for()
