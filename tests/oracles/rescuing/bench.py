"""How long the reference's solver takes, to lay beside the program's own benchmark."""

import time
from statistics import median

from .case import Addition, Case, Item
from .reference import Floats, Reference
from .situation import Situation

ROUNDS = 200
# Accepting needs no solver.
SOLVED = ("top-up-exact", "top-up-least", "take-out", "make-less")

# Twelve parts, no premix; the fourth was poured over.
PLAIN = Case(
    name="plain, 12 ingredients",
    recipe=tuple(
        Addition(f"raw-{at}", parts, within)
        for at, (parts, within) in enumerate(
            zip(
                ("30", "20", "12", "9", "8", "6", "5", "4", "3", "1.5", "1", "0.5"),
                ("2", "2", "5", "5", "2", "10", "2", "5", "5", "10", "20", "20"),
            ),
            1,
        )
    ),
    make="150",
    poured=(("raw-1", "45.1"), ("raw-2", "30"), ("raw-3", "18"), ("raw-4", "15.2")),
    shelf={"raw-1": Item(stock="60", density="1.06"), "raw-6": Item(stock="40"), "raw-9": Item(density="2.82")},
    jar=("250", "ml"),
)

# A premix of a premix of a premix that shares water with the recipe; water was poured alone.
NESTED = Case(
    name="nested, three levels",
    recipe=(
        Addition("glaze", "45", "5"),
        Addition("slow-medium", "25", "2"),
        Addition("binder", "15", "2"),
        Addition("water", "10", "10"),
        Addition("pigment", "5", "2"),
    ),
    premixes={
        "glaze": (Addition("pearl-medium", "70"), Addition("binder", "20"), Addition("mica", "10")),
        "pearl-medium": (Addition("slow-medium", "60"), Addition("mica", "25"), Addition("gloss", "15")),
        "slow-medium": (Addition("gel", "80"), Addition("water", "20")),
    },
    make="200",
    poured=(("glaze", "90"), ("slow-medium", "51.5"), ("water", "24")),
    shelf={"gel": Item(stock="500", density="1.04"), "mica": Item(stock="80", density="2.82")},
    jar=("400", "ml"),
)


class Timed(Floats):
    """HiGHS, with the time spent in scipy's `linprog` alone."""

    spent_us = 0.0

    def solve(self, program):
        start = time.perf_counter()
        point = super().solve(program)
        self.spent_us += (time.perf_counter() - start) * 1e6
        return point


def run():
    for case in (PLAIN, NESTED):
        situation = Situation(case)
        solver = Timed()
        reference = Reference(situation, solver)
        spent = {kind: [] for kind in SOLVED}
        for _ in range(ROUNDS):
            for kind in SOLVED:
                solver.spent_us = 0.0
                reference.outcome(kind)
                spent[kind].append(solver.spent_us)
        print(f"{case.name}: {len(situation.raws)} raws, {len(situation.a)} sources; median of {ROUNDS} rounds")
        for kind in SOLVED:
            print(f"  {kind:<13} {median(spent[kind]):8.0f} µs")
        print(f"  {'all options':<13} {median(map(sum, zip(*spent.values()))):8.0f} µs")
