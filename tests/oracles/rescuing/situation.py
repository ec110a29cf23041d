"""A case in exact numbers: what each source is made of, what is in the jar, what limits there are.

The letters are those of the arithmetic: parts have shares f and bands; raw r has the share g[r] and the band lo[r] to
hi[r]; a[j][r] is the fraction of raw r in source j; m[r] is in the jar.
"""

import math
from fractions import Fraction
from functools import cached_property

DEFAULT_WITHIN = "2"


class Situation:
    def __init__(self, case):
        self.planned = Fraction(case.make)
        self.most_made_less = self.planned
        self.division = None if case.division is None else Fraction(case.division)
        self._premixes = case.premixes
        self._composed = {}
        whole = sum(Fraction(addition.parts) for addition in case.recipe)
        self.share = {addition.name: Fraction(addition.parts) / whole for addition in case.recipe}
        assert len(self.share) == len(case.recipe), "each addition of a case has a name of its own"
        self.a = {name: self._compose(name) for name in self._source_names(case)}
        self.raws = [name for name in self.a if self.a[name] == {name: 1}]
        self.prices = {
            name: Fraction(item.price[0]) / Fraction(item.price[1])
            for name, item in case.shelf.items()
            if item.price is not None
        }
        self.g = self._over_parts(lambda share, within: share, case)
        self.lo = self._over_parts(lambda share, within: max(Fraction(0), share - within), case)
        self.hi = self._over_parts(lambda share, within: share + within, case)
        self.poured = [(name, Fraction(grams)) for name, grams in case.poured]
        self.m = dict.fromkeys(self.raws, Fraction(0))
        for name, grams in self.poured:
            for raw, fraction in self.a[name].items():
                self.m[raw] += fraction * grams
        if case.taken_out is not None:
            # Well stirred: what leaves takes a share of everything.
            kept = 1 - Fraction(case.taken_out) / self.in_jar
            self.m = {raw: kept * grams for raw, grams in self.m.items()}
            del self.in_jar
        self.stock = {
            name: Fraction(case.shelf[name].stock)
            for name in self.a
            if name in case.shelf and case.shelf[name].stock is not None
        }
        self.jar = self._jar(case)

    @cached_property
    def in_jar(self):
        return sum(self.m.values())

    @cached_property
    def can_be_told(self):
        """The expanded uncertainty (k = 2) of a net, two readings rounded to the division; in whole micrograms."""
        if self.division is None:
            return Fraction(0)
        net = 2 * float(self.division) * math.sqrt(2 / 12)
        return Fraction(round(net * 10**6), 10**6)

    def most_at_ratio(self):
        """The largest total of the recipe's own ratio that the jar takes, or None without a jar."""
        if self.jar is None:
            return None
        limit, room = self.jar
        return limit / sum(self.g[raw] * room[raw] for raw in self.raws)

    def least_at_ratio(self):
        """The least total at which nothing in the jar is too much."""
        return max(self.planned, *(self.m[raw] / self.g[raw] for raw in self.raws))

    def price(self, source):
        """EUR for one gram, or None while a price is missing."""
        prices = [self.prices.get(raw) for raw in self.a[source]]
        if None in prices:
            return None
        return sum(price * fraction for price, fraction in zip(prices, self.a[source].values()))

    def with_limits(self, factor, more):
        """The same with every limit changed a little, to ask how near to an edge it stands."""
        other = Situation.__new__(Situation)
        other.__dict__ = dict(self.__dict__)
        other.stock = {name: max(Fraction(0), grams * factor + more) for name, grams in self.stock.items()}
        other.most_made_less = self.planned * factor
        if self.jar is not None:
            other.jar = (self.jar[0] * factor, self.jar[1])
        return other

    def _compose(self, name):
        if name not in self._premixes:
            return {name: Fraction(1)}
        if name not in self._composed:
            additions = self._premixes[name]
            whole = sum(Fraction(addition.parts) for addition in additions)
            made = {}
            for addition in additions:
                for raw, fraction in self._compose(addition.name).items():
                    made[raw] = made.get(raw, 0) + fraction * Fraction(addition.parts) / whole
            self._composed[name] = made
        return self._composed[name]

    def _source_names(self, case):
        """Every addition, every premix inside at any depth, every raw alone; each once."""
        names = []
        waiting = [addition.name for addition in case.recipe]
        while waiting:
            name = waiting.pop(0)
            if name not in names:
                names.append(name)
                waiting += [addition.name for addition in case.premixes.get(name, ())]
        return names

    def _over_parts(self, bound, case):
        sums = dict.fromkeys(self.raws, Fraction(0))
        for addition in case.recipe:
            share = self.share[addition.name]
            within = share * Fraction(addition.within or DEFAULT_WITHIN) / 100
            # In force is the larger of the recipe's tolerance and what the scale can tell.
            within = max(within, self.can_be_told / self.planned)
            for raw, fraction in self.a[addition.name].items():
                sums[raw] += bound(share, within) * fraction
        return sums

    def _jar(self, case):
        """The limit, and how much room a gram of each raw takes."""
        if case.jar is None:
            return None
        number, unit = case.jar
        room = dict.fromkeys(self.raws, Fraction(1))
        if unit == "ml":
            for raw in self.raws:
                if raw in case.shelf and case.shelf[raw].density is not None:
                    room[raw] = 1 / Fraction(case.shelf[raw].density)
        return Fraction(number), room
