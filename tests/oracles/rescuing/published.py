"""Rescues whose answers are known: worked by hand, or published as corrections in other trades.

The expected numbers are as printed at their source: `~` is before those rounded there, compared at their last digit.
"""

from dataclasses import dataclass, field
from decimal import Decimal

from .case import Addition, Case, Item

BY_HAND = "worked by hand; HiGHS, a second solver and exact fractions agree"
PHARMACY = "a pharmacist's arithmetic of strengthening and thinning a preparation, a published exercise"
CONCRETE = "army engineer manual EN5466: water corrected for what wet aggregate brings"
RESIN = "a published correction of a resin with too little hardener"


@dataclass(frozen=True)
class Expected:
    """What is expected of one way out; an addition that is not named is not made."""

    kind: str
    total: str | None = None  # None: it cannot be done.
    take_out: str = "0"
    add: dict[str, str] | None = None  # None: more than one mix will do.


@dataclass(frozen=True)
class Known:
    source: str
    case: Case
    expected: tuple[Expected, ...] = field(default_factory=tuple)


def _plain(name, poured, within=("0", "0", "0", "0"), jar=None):
    """Recipe 50/30/15/5 for 100 g."""
    parts = zip(("base", "medium", "colour", "gloss"), ("50", "30", "15", "5"), within)
    grams = zip(("base", "medium", "colour", "gloss"), poured)
    return Case(
        name=name,
        recipe=tuple(Addition(*part) for part in parts),
        make="100",
        poured=tuple((part, amount) for part, amount in grams if amount != "0"),
        jar=None if jar is None else (jar, "g"),
    )


def _varnished(name, poured):
    """Base .60, a premix of varnish 4 and water 1 .30, colour .10, for 100 g."""
    return Case(
        name=name,
        recipe=(Addition("base", "60", "0"), Addition("thin-varnish", "30", "0"), Addition("colour", "10", "0")),
        premixes={"thin-varnish": (Addition("varnish", "4"), Addition("water", "1"))},
        make="100",
        poured=poured,
    )


def _two(name, first, second, make, poured, shelf=None):
    return Case(
        name=name,
        recipe=(Addition(*first, "0"), Addition(*second, "0")),
        make=make,
        poured=poured,
        shelf=shelf or {},
    )


BANDS = ("2", "2", "2", "10")

KNOWN = (
    Known(
        BY_HAND,
        _plain("54 g of a base of 50", ("54", "0", "0", "0")),
        (
            Expected("top-up-exact", "108", add={"medium": "32.4", "colour": "16.2", "gloss": "5.4"}),
            # Bands of nothing leave nothing but the ratio.
            Expected("top-up-least", "108", add={"medium": "32.4", "colour": "16.2", "gloss": "5.4"}),
            Expected("make-less"),
        ),
    ),
    Known(
        BY_HAND,
        _plain("37 g of a medium of 30", ("50", "37", "0", "0")),
        (Expected("top-up-exact", "~123.3333", add={"base": "~11.6667", "colour": "18.5", "gloss": "~6.1667"}),),
    ),
    Known(
        BY_HAND,
        _plain("7 g of a gloss of 5", ("50", "30", "15", "7")),
        (Expected("top-up-exact", "140", add={"base": "20", "medium": "12", "colour": "6"}),),
    ),
    Known(
        BY_HAND,
        _plain("7 g of a gloss of 5, with bands", ("50", "30", "15", "7"), BANDS),
        (Expected("top-up-least", "~127.2727"), Expected("top-up-exact", "140")),
    ),
    Known(
        BY_HAND,
        _plain("7 g of a gloss of 5 in a jar of 120", ("50", "30", "15", "7"), jar="120"),
        (
            Expected("top-up-exact"),
            Expected(
                "take-out",
                "120",
                take_out="~14.5714",
                add={"base": "~17.1429", "medium": "~10.2857", "colour": "~5.1429"},
            ),
        ),
    ),
    Known(
        BY_HAND,
        _plain("a slip inside its band", ("50", "30", "15", "5.3"), BANDS),
        (Expected("top-up-least", "100.3", add={}), Expected("accept", "100.3", add={})),
    ),
    Known(
        BY_HAND,
        _two("two parts, 4 to 1", ("first", "4"), ("second", "1"), "100", (("first", "80"), ("second", "23"))),
        (Expected("top-up-exact", "115", add={"first": "12"}),),
    ),
    Known(
        BY_HAND,
        _varnished("40 g of a premix of 30", (("base", "60"), ("thin-varnish", "40"))),
        (Expected("top-up-exact", "~133.3333", add={"base": "20", "colour": "~13.3333"}),),
    ),
    Known(
        BY_HAND,
        _varnished("20 g of plain water", (("base", "60"), ("water", "20"))),
        (Expected("top-up-exact", "~333.3333", add={"varnish": "80", "base": "140", "colour": "~33.3333"}),),
    ),
    Known(
        PHARMACY,
        # 480 g of 20 % to 31 % by the pure drug.
        _two("strengthened", ("drug", "31"), ("vehicle", "69"), "480", (("drug", "96"), ("vehicle", "384"))),
        (Expected("top-up-exact", "~556.52", add={"drug": "~76.52"}),),
    ),
    Known(
        PHARMACY,
        # 30 g of 0.25 % to 0.1 %.
        _two("thinned", ("drug", "0.1"), ("vehicle", "99.9"), "30", (("drug", "0.075"), ("vehicle", "29.925"))),
        (Expected("top-up-exact", "75", add={"vehicle": "45"}),),
    ),
    Known(
        CONCRETE,
        # 38.6 of water are wanted, and the wet aggregate has brought 12; how much of it there is, is ours.
        _two(
            "wet aggregate", ("aggregate", "300"), ("water", "38.6"), "338.6", (("aggregate", "300"), ("water", "12"))
        ),
        (
            Expected("top-up-exact", "338.6", add={"water": "26.6"}),
            Expected("accept", "338.6", add={"water": "26.6"}),
        ),
    ),
    Known(
        RESIN,
        # 144 of resin want 63.36 of hardener, and there are 50; poured already, they stay short at 0.3472.
        _two(
            "too little hardener",
            ("resin", "100"),
            ("hardener", "44"),
            "207.36",
            (("resin", "144"),),
            {"hardener": Item(stock="50")},
        ),
        (Expected("accept", "194", add={"hardener": "50"}), Expected("top-up-exact"), Expected("make-less")),
    ),
    Known(
        RESIN,
        # The 50 would have served 113.64 of resin.
        _two(
            "too little hardener, nothing poured",
            ("resin", "100"),
            ("hardener", "44"),
            "207.36",
            (("resin", "0"),),
            {"hardener": Item(stock="50")},
        ),
        (Expected("make-less", "~163.64", add={"resin": "~113.64", "hardener": "50"}), Expected("top-up-exact")),
    ),
)


def compare(known, options, findings):
    """Holds the program's options against what was published."""
    by_kind = {option.kind: option for option in options}
    for expected in known.expected:
        option = by_kind.get(expected.kind)
        wrong = ["is not listed"] if option is None else list(_wrong(expected, option))
        findings.counts["published"] += 1
        for line in wrong:
            findings.complain(known.case, f"{expected.kind} {line} ({known.source})")


def _wrong(expected, option):
    if option.feasible != (expected.total is not None):
        yield "can be done" if option.feasible else "cannot be done"
    if not option.feasible or expected.total is None:
        return
    pairs = [("in all", expected.total, option.total), ("taken out", expected.take_out, option.taken)]
    if expected.add is not None:
        added = dict(option.add)
        pairs += [(f"of {name}", expected.add.get(name, "0"), added.get(name, 0)) for name in {*expected.add, *added}]
    for what, printed, stated in pairs:
        if not _agrees(printed, stated):
            yield f"has {float(stated)} g {what}, and {printed} was expected"


def _agrees(printed, stated):
    right = Decimal(printed.removeprefix("~"))
    half = Decimal(5).scaleb(right.as_tuple().exponent - 1) if printed.startswith("~") else 0
    return abs(Decimal(float(stated)) - right) <= half + Decimal("1e-6")
