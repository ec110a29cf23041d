"""What must hold of every answer, whatever the best one is: computed again from the additions alone."""

from fractions import Fraction
from typing import NamedTuple

from .option import AT_RATIO
from .reference import accepted

RELATIVE = Fraction(1, 10**9)
CLEARLY = Fraction(1, 10**6)
USUAL_DIVISION = Fraction(1, 10)


def broken(situation, option):
    """Returns a line for every rule a feasible option breaks."""
    unknown = [source for source, _ in option.add if source not in situation.a]
    if unknown:
        return [f"adds what is no source: {unknown}"]
    if option.named_twice or set(option.shares) != set(situation.raws):
        return [f"shares of {sorted(option.shares)}, and the raws are {sorted(situation.raws)}"]
    grams = option.in_the_end(situation)
    total = sum(grams.values())
    if total <= 0:
        return ["nothing in the jar"]
    # Masses are compared at the size of the batch.
    mass = RELATIVE * max(total, situation.planned)
    rules = (
        _additions(situation, option, mass),
        _limits(situation, grams, mass),
        _ratio(situation, option, grams, total, mass),
        _statements(situation, option, grams, total, mass),
        _rounded(situation, option),
        _cost(situation, option),
    )
    return [line for lines in rules for line in lines]


def _additions(situation, option, mass):
    names = [source for source, _ in option.add]
    if len(set(names)) != len(names):
        yield f"adds the same source twice: {names}"
    for source, grams in option.add:
        if grams <= 0:
            yield f"adds {float(grams)} g of {source}"
        if source in situation.stock and situation.stock[source] + mass < grams:
            yield f"adds {float(grams)} g of {source}, and there are {float(situation.stock[source])} g"
    if option.taken < 0 or situation.in_jar + mass < option.taken:
        yield f"takes out {float(option.taken)} g of {float(situation.in_jar)} g"
    if option.kind != "take-out" and option.taken != 0:
        yield f"takes out {float(option.taken)} g"


def _limits(situation, grams, mass):
    if situation.jar is None:
        return
    limit, room = situation.jar
    used = sum(room[raw] * grams[raw] for raw in grams)
    if limit + mass * max(room.values()) < used:
        yield f"fills {float(used)} of the {float(limit)} the jar takes"


def _ratio(situation, option, grams, total, mass):
    if option.kind in AT_RATIO:
        off = max(abs(grams[raw] - situation.g[raw] * total) for raw in grams)
        if mass < off:
            yield f"is {float(off)} g off the ratio"
    if option.kind == "top-up-least":
        for raw in grams:
            if grams[raw] + mass < situation.lo[raw] * total or situation.hi[raw] * total + mass < grams[raw]:
                yield f"{raw} is {float(grams[raw])} of {float(total)} g, outside its band"
    if option.kind in ("top-up-exact", "top-up-least") and total + mass < situation.planned:
        yield f"makes {float(total)} g, less than planned"
    if option.kind == "make-less" and situation.planned + mass < total:
        yield f"makes {float(total)} g, more than planned"
    if option.kind == "accept":
        right, added = accepted(situation), dict(option.add)
        for source in right.keys() | added.keys():
            wanted, stated = right.get(source, 0), added.get(source, 0)
            if mass < abs(wanted - stated):
                yield f"accepts with {float(stated)} g of {source}, not {float(wanted)}"


def _statements(situation, option, grams, total, mass):
    """What it says of itself."""
    if mass < abs(option.total - total):
        yield f"says {float(option.total)} g in all, and it is {float(total)}"
    worst = max(abs(grams[raw] / (situation.g[raw] * total) - 1) for raw in grams)
    # A tiny share is known less well relative to itself.
    slack = RELATIVE / min(situation.g.values())
    if slack < abs(option.worst_deviation - worst):
        yield f"says a deviation of {float(option.worst_deviation)}, and it is {float(worst)}"
    for raw in grams:
        if RELATIVE < abs(option.shares[raw] - grams[raw] / total):
            yield f"says a share of {float(option.shares[raw])} for {raw}, and it is {float(grams[raw] / total)}"
        if RELATIVE < abs(option.planned[raw] - situation.g[raw]):
            yield f"says {float(option.planned[raw])} of {raw} was planned, and {float(situation.g[raw])} was"
    for what, shares in (("planned", option.planned), ("result", option.shares)):
        if RELATIVE < abs(sum(shares.values()) - 1):
            yield f"the {what} shares sum to {float(sum(shares.values()))}"
    known = [value is not None for value in option.uncertainty.values()]
    if any(known) != (situation.division is not None) or any(known) != all(known):
        yield "states an uncertainty exactly when there is no division"


def _rounded(situation, option):
    division = situation.division or USUAL_DIVISION
    for (source, grams), rounded in zip(option.add, option.rounded):
        if (rounded / division).denominator != 1:
            yield f"rounds {source} to {float(rounded)} g, no multiple of {float(division)} g"
        # What the scale cannot tell need not be weighed at all.
        too_little = grams < situation.can_be_told
        if division / 2 + RELATIVE < abs(rounded - grams) and not (too_little and rounded == 0):
            yield f"rounds {float(grams)} g of {source} to {float(rounded)} g"


def _cost(situation, option):
    prices = [situation.price(source) for source, _ in option.add]
    if None in prices:
        if option.cost is not None:
            yield f"costs {option.cost} while a price is missing"
        return
    right = sum(price * grams for price, (_, grams) in zip(prices, option.add))
    if option.cost is None:
        yield f"has no cost, and it is {float(right)}"
    elif RELATIVE * (1 + right) < abs(Fraction(option.cost) - right):
        yield f"costs {option.cost}, and it is {float(right)}"


# ---- the order --------------------------------------------------------------------------------------


def out_of_order(situation, options, recommended):
    """Returns a line for every rule of the order that a list of options breaks."""
    feasible = [option for option in options if option.feasible]
    if [option.feasible for option in options] != sorted((option.feasible for option in options), reverse=True):
        yield "something that cannot be done stands before what can"
    if feasible and recommended != feasible[0].kind:
        yield f"recommends {recommended}, and {feasible[0].kind} is first of what can be done"
    if not feasible and recommended not in (None, options[0].kind):
        yield f"recommends {recommended} where nothing can be done"
    measures = [_measures(situation, option) for option in feasible]
    for at, above in enumerate(measures):
        if feasible[at].kind == "accept" and above.excess <= RELATIVE:
            # Every share is inside its band as it is: there is nothing to rescue, and going on comes first.
            continue
        for below, option in zip(measures[at + 1 :], feasible[at + 1 :]):
            if _dominates(below, above):
                yield f"{feasible[at].kind} stands above {option.kind}, no worse in anything and better in something"


class Measures(NamedTuple):
    """What a person would rather have less of."""

    total: Fraction
    taken: Fraction
    pours: int
    excess: Fraction  # Over the bands.
    deviation: Fraction


def _measures(situation, option):
    grams = option.in_the_end(situation)
    total = sum(grams.values())
    excess = max(
        max(situation.lo[raw] - grams[raw] / total, grams[raw] / total - situation.hi[raw], 0) / situation.g[raw]
        for raw in grams
    )
    return Measures(option.total, option.taken, len(option.add), excess, option.worst_deviation)


def _dominates(one, other):
    no_worse = all(mine <= theirs + RELATIVE for mine, theirs in zip(one, other))
    return no_worse and any(mine + CLEARLY < theirs for mine, theirs in zip(one, other))
