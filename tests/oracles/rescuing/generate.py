"""Random rescues: recipes of up to three levels of premix, and the slips people make.

It knows nothing of how a rescue is computed. A case depends on its number and the seed alone.
"""

import random
from dataclasses import replace

from .case import Addition, Case, Item

SEED = "a second pair of hands"
# Divisions in a batch; below, what propagation leaves out is seen.
FINE = 300


def case(number):
    """Returns a random rescue; some stand exactly on the edge of a jar or a stock."""
    return _Generator(number, "any slip").case()


def weighed(number):
    """Returns one whose readings tell everything, on a scale that is fine beside the batch."""
    made = _Generator(number, "weighed").case()
    fine = [division for division in ("0.01", "0.1", "0.5", "1") if FINE <= float(made.make) / float(division)]
    return replace(made, name=f"Weighed case {number}", taken_out=None, division=fine[number % len(fine)])


class _Generator:
    def __init__(self, number, series):
        self.number = number
        self.rng = random.Random(f"{SEED}, {series}, {number}")

    def case(self):
        rng = self.rng
        premixes, recipe = self._recipe()
        reached = _reached(recipe, premixes)
        premixes = {name: additions for name, additions in premixes.items() if name in reached}
        raws = [name for name in reached if name not in premixes]
        make = rng.choice(["30", "50", "80", "100", "100", "120", "150", "180", "250", "400", self._grams(20, 600)])
        poured, taken_out = self._slips(recipe, premixes, raws, float(make))
        return Case(
            name=f"Case {self.number}",
            recipe=recipe,
            make=make,
            poured=poured,
            premixes=premixes,
            shelf=self._shelf(recipe, premixes, raws, float(make)),
            jar=self._jar(make, poured),
            taken_out=taken_out,
            division=rng.choice([None, None, "0.1", "0.1", "0.01", "0.5", "1"]),
        )

    # ---- the recipe ------------------------------------------------------------------------------

    def _recipe(self):
        rng = self.rng
        size = rng.randint(2, 12)
        raws = [f"raw-{at}" for at in range(1, size + 1)]
        layers = [raws]
        premixes = {}
        for level in range(1, rng.choice([0, 0, 1, 1, 2, 2, 3]) + 1):
            layer = []
            for at in range(1, rng.choice([1, 1, 2, 3]) + 1):
                name = f"mix-{level}{'abc'[at - 1]}"
                lower = [other for part in layers for other in part]
                inside = self._some(lower, rng.randint(2, 4), sure=rng.choice(layers[-1]))
                premixes[name] = tuple(Addition(other, self._parts()) for other in inside)
                layer.append(name)
            layers.append(layer)
        if len(layers) == 1:
            names = raws
        else:
            every = [other for part in layers for other in part]
            names = self._some(every, rng.randint(2, 12), sure=rng.choice(layers[-1]))
        return premixes, tuple(Addition(name, self._parts(), self._within()) for name in names)

    def _some(self, names, count, sure):
        others = [name for name in names if name != sure]
        chosen = [sure, *self.rng.sample(others, min(count - 1, len(others)))]
        self.rng.shuffle(chosen)
        return chosen

    def _parts(self):
        rng = self.rng
        return rng.choice(
            [
                str(rng.randint(1, 60)),
                str(rng.randint(1, 60)),
                _decimal(rng.randint(1, 600), 1),
                _decimal(rng.randint(20, 4000), 2),
                _decimal(rng.randint(5, 99), 2),  # A strong minor part.
            ]
        )

    def _within(self):
        rng = self.rng
        return rng.choice([None, "0", "1", "2", "5", "10", "20", _decimal(rng.randint(1, 200), 1)])

    # ---- the slips -------------------------------------------------------------------------------

    def _slips(self, recipe, premixes, raws, make):
        """What was poured, in order, and what was taken out of it."""
        rng = self.rng
        whole = sum(float(addition.parts) for addition in recipe)
        target = {addition.name: float(addition.parts) / whole * make for addition in recipe}
        kind = rng.choice(
            ["over", "over", "several", "twice", "alone", "alone", "nothing", "forgotten", "taken", "exact", "short"]
        )
        order = [addition.name for addition in recipe]
        if kind == "nothing":
            return ((order[0], "0"),), None
        if rng.random() < 0.2:
            rng.shuffle(order)
        order = order[: rng.randint(1, len(order))]
        grams = {name: target[name] * rng.uniform(0.995, 1.005) for name in order}
        if kind == "exact":
            grams = {name: target[name] for name in order}
        wrong = [rng.choice(order)] if kind != "several" else rng.sample(order, rng.randint(1, len(order)))
        if kind in ("over", "several") or (kind == "taken" and rng.random() < 0.7):
            for name in wrong:
                grams[name] *= 1 + rng.choice([rng.uniform(0.003, 0.1), rng.uniform(0.05, 0.8)])
        if kind == "short":
            grams[wrong[0]] *= rng.uniform(0.2, 0.98)
        poured = [(name, grams[name]) for name in order]
        if kind == "twice":
            poured.insert(rng.randint(1, len(poured)), (wrong[0], grams[wrong[0]] * rng.choice([1, rng.random()])))
        if kind == "forgotten" and 1 < len(poured):
            poured.pop(rng.randrange(len(poured)))
        if kind == "alone":
            self._pour_alone(poured, target, premixes, raws)
        poured = tuple((name, self._weighed(amount)) for name, amount in poured)
        taken_out = None
        if kind == "taken":
            in_jar = sum(float(amount) for _, amount in poured)
            # In hundredths, and never all of it.
            most = int(in_jar * 100 * 0.9)
            taken_out = _decimal(rng.randint(1, most), 2) if 1 <= most else None
        return poured, taken_out

    def _pour_alone(self, poured, target, premixes, raws):
        """A component of a premix went in by itself: instead of the premix, or beside it."""
        rng = self.rng
        inside = [name for name in [*premixes, *raws] if name not in target] or raws
        name = rng.choice(inside)
        at = rng.randrange(len(poured))
        amount = target[poured[at][0]] * rng.uniform(0.02, 1.1)
        if rng.random() < 0.5:
            poured[at] = (name, amount)
        else:
            poured.insert(at + 1, (name, amount))

    def _weighed(self, grams):
        """As a scale shows it: seldom to the microgram."""
        places = self.rng.choice([0, 1, 1, 1, 2, 2, 3, 6])
        steps = max(1, round(grams * 10**places))
        return _decimal(steps, places)

    # ---- the limits ------------------------------------------------------------------------------

    def _shelf(self, recipe, premixes, raws, make):
        rng = self.rng
        need = _needed(recipe, premixes, make)
        bare = rng.random() < 0.1
        short = rng.choice([0, 0, 0.15, 0.4])
        known = rng.choice([0, 0.5, 1])
        dear = rng.choice([0.5, 1])
        shelf = {}
        for raw in raws:
            if bare and rng.random() < 0.5:
                continue  # Not on the shelf at all.
            stock = None
            if rng.random() < short:
                stock = rng.choice(
                    [
                        _decimal(round(need[raw] * rng.uniform(0.1, 4) * 10), 1),
                        _decimal(round(need[raw] * rng.uniform(0.1, 4) * 10), 1),
                        _decimal(round(need[raw] * 100), 2),
                        "0",
                    ]
                )
            price = (_decimal(rng.randint(90, 4000), 2), rng.choice(["50", "100", "250", "1000"]))
            shelf[raw] = Item(
                stock=stock,
                price=price if rng.random() < dear else None,
                density=_decimal(rng.randint(700, 4200), 3) if rng.random() < known else None,
            )
        return shelf

    def _jar(self, make, poured):
        rng = self.rng
        what = rng.choice(["none", "none", "g", "ml", "edge"])
        if what == "none":
            return None
        if what == "edge" and rng.random() < 0.5:
            return (make, "g")
        in_jar = sum(float(grams) for _, grams in poured)
        around = max(in_jar * rng.uniform(0.95, 1.5), float(make) * rng.uniform(0.7, 2))
        return (_decimal(round(around * 10), 1), "ml" if what == "ml" else "g")

    def _grams(self, low, high):
        return _decimal(self.rng.randint(low * 10, high * 10), 1)


def _decimal(count, places):
    """So many steps of the last place, as text: whole numbers all the way."""
    whole, rest = divmod(count, 10**places)
    return f"{whole}.{rest:0{places}}" if places else str(whole)


def _reached(recipe, premixes):
    names = []
    waiting = [addition.name for addition in recipe]
    while waiting:
        name = waiting.pop(0)
        if name not in names:
            names.append(name)
            waiting += [addition.name for addition in premixes.get(name, ())]
    return names


def _needed(recipe, premixes, make):
    """Roughly how much of each raw the batch wants."""
    need = {}
    whole = sum(float(addition.parts) for addition in recipe)
    waiting = [(addition.name, float(addition.parts) / whole * make) for addition in recipe]
    while waiting:
        name, grams = waiting.pop()
        if name not in premixes:
            need[name] = need.get(name, 0.0) + grams
            continue
        inner = sum(float(addition.parts) for addition in premixes[name])
        waiting += [(addition.name, float(addition.parts) / inner * grams) for addition in premixes[name]]
    return need
