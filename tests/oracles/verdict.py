"""Counting of agreements; one line a disagreement, one line at the end."""

import json
from pathlib import Path

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures" / "oracles"


def stated(name):
    """What the project states, from fixtures/oracles."""
    return json.loads((FIXTURES / name).read_text(encoding="utf-8"))


class Verdict:
    def __init__(self, topic):
        self.topic = topic
        self.passed = self.failed = 0

    def check(self, what, stated_value, reference):
        if stated_value == reference:
            self.passed += 1
            return
        self.failed += 1
        print(f"{what}: stated {stated_value}, the reference gives {reference}")

    def tally(self, passed, failed):
        """Adds what was counted, and said, elsewhere."""
        self.passed += passed
        self.failed += failed

    def exit_code(self):
        """Prints the counts; to have checked nothing is a failure as well."""
        print(f"{self.topic}: {self.passed} passed, {self.failed} failed")
        return 0 if self.failed == 0 < self.passed else 1
