"""The ways out as linear programs, written once and built in floats for HiGHS or in fractions for the last word.

Masses are in units of the planned total, and each row of a raw is divided by its share, so that a small part is
held as tightly as a large one. The columns are what is added of each source, and one more: the total, the largest
deviation or the part that is kept.
"""

from dataclasses import dataclass

import numpy as np

# What HiGHS may be out by in the total must not make the second of two programs impossible.
SLACK = 1e-10


@dataclass(frozen=True)
class Program:
    """Minimise cost · v, with equal · v = equal_right, below · v <= below_right, lower <= v <= upper (None: any)."""

    cost: np.ndarray
    equal: np.ndarray
    equal_right: np.ndarray
    below: np.ndarray
    below_right: np.ndarray
    lower: list
    upper: list


class Numbers:
    """A situation as arrays of one kind of number: float, or Fraction."""

    def __init__(self, situation, number):
        self.number = number
        self.unit = situation.planned
        self.kind = float if number is float else object
        raws, self.sources = situation.raws, list(situation.a)
        self.a_over_g = self._array(
            [[situation.a[source].get(raw, 0) / situation.g[raw] for source in self.sources] for raw in raws]
        )
        self.a = self._array([[situation.a[source].get(raw, 0) for source in self.sources] for raw in raws])
        self.m = self._array([situation.m[raw] / self.unit for raw in raws])
        self.m_over_g = self._array([situation.m[raw] / self.unit / situation.g[raw] for raw in raws])
        self.lo_over_g = self._array([situation.lo[raw] / situation.g[raw] for raw in raws])
        self.hi_over_g = self._array([situation.hi[raw] / situation.g[raw] for raw in raws])
        self.in_jar = number(situation.in_jar / self.unit)
        self.stock = [self._scaled(situation.stock.get(source)) for source in self.sources]
        self.most = self._scaled(situation.most_at_ratio())
        self.least = number(situation.least_at_ratio() / self.unit)
        self.most_made_less = number(situation.most_made_less / self.unit)
        self.limit = None if situation.jar is None else self._scaled(situation.jar[0])
        self.room = None if situation.jar is None else self._array([situation.jar[1][raw] for raw in raws])
        self.one = number(1)

    def _array(self, values):
        return np.array(values, dtype=object).astype(self.kind)

    def _scaled(self, grams):
        return None if grams is None else self.number(grams / self.unit)

    def program(self, last_cost, equal=None, below=(), last=(0, None)):
        """Puts a program together; the source columns cost nothing and end at their stock."""
        wide = len(self.sources) + 1
        cost = np.zeros(wide, dtype=self.kind) + self.number(0)
        cost[-1] = self.number(last_cost)
        nothing = (np.zeros((0, wide), dtype=self.kind), np.zeros(0, dtype=self.kind))
        equal, equal_right = equal or nothing
        pairs = [*below, nothing]
        return Program(
            cost,
            equal,
            equal_right,
            np.concatenate([rows for rows, _ in pairs]),
            np.concatenate([right for _, right in pairs]),
            [self.number(0)] * (wide - 1) + [self.number(last[0])],
            [*self.stock, last[1]],
        )

    def with_last(self, rows, column):
        """The rows of the sources, and the one further column."""
        return np.column_stack([rows, np.array(column, dtype=self.kind)])

    def column(self, value):
        return np.full(len(self.m), self.number(value), dtype=self.kind)

    def at_ratio(self):
        """m + A y = g T."""
        return self.with_last(self.a_over_g, self.column(-1)), -self.m_over_g


def top_up_exact(numbers):
    return numbers.program(1, equal=numbers.at_ratio(), last=(1, numbers.most))


def top_up_least(numbers):
    """The least total inside the bands."""
    y_sum = np.full((1, len(numbers.sources)), numbers.one, dtype=numbers.kind)
    total = (numbers.with_last(y_sum, [-numbers.one]), np.array([-numbers.in_jar], dtype=numbers.kind))
    below = [
        (numbers.with_last(-numbers.a_over_g, numbers.lo_over_g), numbers.m_over_g),
        (numbers.with_last(numbers.a_over_g, -numbers.hi_over_g), -numbers.m_over_g),
        *_jar(numbers),
    ]
    return numbers.program(1, equal=total, below=below, last=(1, None))


def least_deviation(numbers, total):
    """Of all jars with that least total, the one whose largest deviation is least."""
    slack = numbers.number(SLACK) if numbers.number is float else 0
    y_sum = np.full((1, len(numbers.sources)), numbers.one, dtype=numbers.kind)
    zero = numbers.column(0)
    same = (numbers.with_last(y_sum, [numbers.number(0)]), np.array([total - numbers.in_jar], dtype=numbers.kind))
    ratio = numbers.a_over_g / total
    had = numbers.m_over_g / total
    below = [
        (numbers.with_last(ratio, -numbers.column(1)), 1 - had),
        (numbers.with_last(-ratio, -numbers.column(1)), had - 1),
        (numbers.with_last(-ratio, zero), had - numbers.lo_over_g + slack),
        (numbers.with_last(ratio, zero), numbers.hi_over_g - had + slack),
        *((rows, right + slack) for rows, right in _jar(numbers)),
    ]
    return numbers.program(1, equal=same, below=below)


def take_out_total(numbers):
    """What the jar holds in the end: no more than it can, or than was planned."""
    return min(numbers.least, numbers.one if numbers.most is None else numbers.most)


def take_out(numbers):
    """The most that may stay: k m + A y = g T'."""
    equal = (numbers.with_last(numbers.a_over_g, numbers.m_over_g), numbers.column(1) * take_out_total(numbers))
    return numbers.program(-1, equal=equal, last=(0, numbers.one))


def make_less(numbers):
    cap = numbers.most_made_less
    most = cap if numbers.most is None else min(cap, numbers.most)
    return numbers.program(-1, equal=numbers.at_ratio(), last=(0, most))


def _jar(numbers):
    """The jar on what is in it, whatever its ratio."""
    if numbers.limit is None:
        return []
    row = numbers.with_last(np.array([numbers.room @ numbers.a], dtype=numbers.kind), [numbers.number(0)])
    return [(row, np.array([numbers.limit - numbers.room @ numbers.m], dtype=numbers.kind))]
