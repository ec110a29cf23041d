"""How long the reference's solver takes, to lay beside the program's own benchmark."""

import time
from statistics import median

from .case import Addition, Case, Item
from .option import KINDS
from .reference import Floats, Reference
from .situation import Situation

ROUNDS = 200

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


def run():
    for case in (PLAIN, NESTED):
        situation = Situation(case)
        timed = {kind: [] for kind in KINDS}
        reference = Reference(situation, Floats())
        for _ in range(ROUNDS):
            for kind in KINDS:
                start = time.perf_counter()
                reference.outcome(kind)
                timed[kind].append((time.perf_counter() - start) * 1e6)
        print(f"{case.name}: {len(situation.raws)} raws, {len(situation.a)} sources; median of {ROUNDS} rounds")
        for kind in KINDS:
            print(f"  {kind:<13} {median(timed[kind]):8.0f} µs")
        print(f"  {'all options':<13} {median(map(sum, zip(*timed.values()))):8.0f} µs")
