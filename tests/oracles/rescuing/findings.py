"""What was found, in one case or added up over many."""

from collections import Counter
from dataclasses import dataclass, field


@dataclass
class Findings:
    complaints: list = field(default_factory=list)
    counts: Counter = field(default_factory=Counter)
    largest: dict = field(default_factory=dict)

    def complain(self, case, what):
        self.complaints.append((case.name, what))

    def differ(self, what, by):
        self.largest[what] = max(self.largest.get(what, 0.0), float(by))

    def add(self, other):
        self.complaints += other.complaints
        self.counts += other.counts
        for what, by in other.largest.items():
            self.differ(what, by)
