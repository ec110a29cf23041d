"""What the reference says of each way out: whether there is one, and its objective."""

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from scipy.optimize import linprog

from . import exact, programs
from .programs import Numbers

NOTHING = 1e-9
TIGHT = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}


@dataclass(frozen=True)
class Outcome:
    """Grams: the total at the end, what is taken out; and the largest deviation where it was minimised."""

    total: float | Fraction
    take_out: float | Fraction = 0
    deviation: float | Fraction = 0


class Floats:
    """By HiGHS."""

    number = float

    def solve(self, program):
        if any(upper is not None and upper < lower for lower, upper in zip(program.lower, program.upper)):
            return None
        result = linprog(
            program.cost,
            program.below,
            program.below_right,
            program.equal,
            program.equal_right,
            np.array([program.lower, [np.inf if upper is None else upper for upper in program.upper]]).T,
            method="highs",
            options=TIGHT,
        )
        return result.x if result.status == 0 else None


class Fractions:
    """By fractions: slow and right."""

    number = Fraction

    def solve(self, program):
        return exact.solve(program)


class Reference:
    """The five ways out of a situation, solved one way."""

    def __init__(self, situation, solver):
        self.situation = situation
        self.solver = solver
        self.numbers = Numbers(situation, solver.number)

    def outcome(self, kind):
        """Returns the outcome of a way out, or None where there is none; a jar of nothing is none."""
        outcome = getattr(self, f"_{kind.replace('-', '_')}")()
        return None if outcome is None or outcome.total <= NOTHING else outcome

    def _last(self, program):
        point = self.solver.solve(program)
        return None if point is None else point[-1]

    def _top_up_exact(self):
        total = self._last(programs.top_up_exact(self.numbers))
        return None if total is None else Outcome(self._grams(total))

    def _top_up_least(self):
        total = self._last(programs.top_up_least(self.numbers))
        if total is None:
            return None
        deviation = self._last(programs.least_deviation(self.numbers, total))
        return Outcome(self._grams(total), deviation=deviation)

    def _take_out(self):
        kept = self._last(programs.take_out(self.numbers))
        if kept is None:
            return None
        total = programs.take_out_total(self.numbers)
        return Outcome(self._grams(total), self._grams((1 - kept) * self.numbers.in_jar))

    def _make_less(self):
        total = self._last(programs.make_less(self.numbers))
        return None if total is None else Outcome(self._grams(total))

    def _accept(self):
        """No solver: what is missing of each addition is added, as far as there is any."""
        situation = self.situation
        there = dict(situation.m)
        for source, grams in accepted(situation).items():
            for raw, fraction in situation.a[source].items():
                there[raw] += fraction * grams
        if situation.jar is not None:
            limit, room = situation.jar
            if limit < sum(room[raw] * grams for raw, grams in there.items()):
                return None
        return Outcome(self.solver.number(sum(there.values())))

    def _grams(self, value):
        return value * self.solver.number(self.situation.planned)


def accepted(situation):
    """What accepting the slip still adds: each addition up to its own planned grams."""
    missing = {name: share * situation.planned for name, share in situation.share.items()}
    for name, grams in situation.poured:
        if name in missing:
            missing[name] -= grams
    return {
        name: min(max(Fraction(0), grams), situation.stock.get(name, grams)) if 0 < grams else Fraction(0)
        for name, grams in missing.items()
    }
