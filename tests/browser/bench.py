"""A bench to work at: the service, a double of a scale, and the hands."""

import json
import shutil

from home import REPOSITORY, Home, Scale, Service
from waiting import wait_for

JAR_UG = 60_000_000
BENCH = "/v1/benches/bench"

# Made for these tests: what is weighed, judged by eye and stirred.
RECIPE = """
[recipe]
name   = "Reed green"
makes  = "75 g"
within = "0.5 g"

[[step]]
add    = "base"
amount = "40 g"

[[step]]
add    = "green-paste"
amount = "20 g"

[[step]]
look   = "no streaks"

[[step]]
stir   = "2 s"

[[step]]
add    = "white"
amount = "15 g"
note   = "let it run down the side"
"""


def micrograms(grams):
    return round(grams * 1_000_000)


class Bench:
    """A service with a scale at it; to be left as a context."""

    def __init__(self, clock_rate=1, rate_hz=10, division="0.1"):
        self.home = Home()
        self.scale = Scale(self.home.path / "bench-scale", rate_hz, clock_rate, division)
        self.service = Service(self.home, clock_rate)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.service.end()
        self.scale.end()
        self.home.leave()

    def invitation(self, *flags):
        """Returns the address with a code, as the person reads it off the screen."""
        return json.loads(self.home.tarehand("page", "--json", *flags))["links"][0]

    def attach(self):
        self.service.ask("PUT", f"{BENCH}/scale", {"port": self.scale.link})
        self.wait_view("the scale to be heard", lambda view: view["scale"]["open"])

    def name_folder(self, **more):
        """Names a folder of recipes and a shelf: those of the studio."""
        folder = self.home.path / "studio"
        shutil.copytree(REPOSITORY / "fixtures/studio", folder)
        self.service.ask("PUT", "/v1/folder", {"path": str(folder), "measures": {"spoon": "metric"}, **more})

    def open_batch(self, text=RECIPE, **more):
        batch = {"recipe": "reed", "recipes": {"reed": text}, "size": "as-written"}
        self.service.ask("POST", f"{BENCH}/batch", {**batch, **more})

    def view(self):
        return self.service.ask("GET", BENCH)

    def wait_view(self, what, look):
        """Waits for a view that `look` finds something in, and returns the view."""

        def found():
            view = self.view()
            return view if look(view) else None

        return wait_for(what, found)

    def wait_doing(self, what):
        return self.wait_view(f"`{what}` to be done", lambda view: view["doing"]["what"] == what)

    def clear_pan(self):
        """Takes everything off the pan, and waits until the bench has seen that."""
        self.scale.tell("load", jar_ug=0)
        wait_for("the empty pan", lambda: self.service.ask("GET", f"{BENCH}/jar")["gross_g"] == 0)

    def put_jar(self):
        self.wait_doing("put-jar")
        self.scale.tell("load", jar_ug=JAR_UG)

    def pour(self, more_g=0.0, within_s=2.0):
        """Pours what the running step still wants, and so much more; returns the step as it was."""
        view = self.wait_doing("pour")
        step = next(step for step in view["steps"] if step["status"] == "now")
        wanted_ug = micrograms(view["doing"]["target_g"] + more_g) - micrograms(step["poured_g"] or 0)
        self.scale.tell("pour", amount_ug=wanted_ug, flow_ug_per_s=max(1, round(wanted_ug / within_s)))
        return step

    def wait_poured(self):
        """Waits until every pour has arrived."""
        wait_for("the last pour to arrive", lambda: all(
            pour["arrived_ug"] == pour["amount_ug"] for pour in self.scale.tell("truth")["pours"]
        ))

    def wait_judged(self, step):
        """Waits until a step is done, or something is asked about it."""
        number = step["step"]
        return self.wait_view(
            "a verdict",
            lambda view: view["question"] or any(one["step"] == number and one["status"] == "done" for one in view["steps"]),
        )

    def say(self, command):
        self.service.ask("POST", f"{BENCH}/commands", command)

    def finish(self):
        """Pours and answers what is left of the batch, as wanted."""
        while True:
            view = self.wait_view("something to do", lambda view: view["doing"]["what"] in ("pour", "look", "complete"))
            what = view["doing"]["what"]
            if what == "complete":
                return
            if what == "look":
                self.say({"command": "next"})
                self.wait_view("the next step", lambda view: view["doing"]["what"] != "look")
            else:
                self.wait_judged(self.pour())

    def marks(self):
        """Returns the marks of the batches of the log, the newest first."""
        return [batch["mark"] for batch in json.loads(self.home.tarehand("log", "list", "--json"))["batches"]]

    def mark(self):
        """Returns the mark of the newest batch of the log."""
        return self.marks()[0]

    def record(self):
        """Returns the newest batch of the log, by the command line."""
        return json.loads(self.home.tarehand("log", "show", self.mark(), "--json"))

    def contents_g(self):
        """Returns what is in the jar in truth."""
        return self.scale.tell("truth")["contents_ug"] / 1_000_000
