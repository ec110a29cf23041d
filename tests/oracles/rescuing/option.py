"""One way out as the program answered it, in fractions of exactly the floats it printed."""

from fractions import Fraction

KINDS = ("top-up-exact", "top-up-least", "take-out", "make-less", "accept")
AT_RATIO = ("top-up-exact", "take-out", "make-less")


class Option:
    def __init__(self, answered):
        self.kind = answered["kind"]
        self.feasible = answered["feasible"]
        self.why_not = answered["why_not"]
        if not self.feasible:
            return
        self.total = Fraction(answered["total_g"])
        self.taken = Fraction(answered["take_out_g"])
        self.add = [(entry["ingredient"], Fraction(entry["grams"])) for entry in answered["add"]]
        self.rounded = [Fraction(str(entry["rounded_g"])) for entry in answered["add"]]
        self.shares = {entry["ingredient"]: Fraction(entry["result"]) for entry in answered["shares"]}
        self.planned = {entry["ingredient"]: Fraction(entry["planned"]) for entry in answered["shares"]}
        self.uncertainty = {entry["ingredient"]: entry["uncertainty"] for entry in answered["shares"]}
        self.named_twice = len(self.shares) != len(answered["shares"])
        self.worst_deviation = Fraction(answered["worst_deviation"])
        self.cost = answered["cost"]

    def in_the_end(self, situation):
        """Grams of each raw at the end, by its own additions; independent of the totals and shares it states."""
        kept = 1 - self.taken / situation.in_jar if situation.in_jar else Fraction(1)
        grams = {raw: kept * there for raw, there in situation.m.items()}
        for source, added in self.add:
            for raw, fraction in situation.a[source].items():
                grams[raw] += fraction * added
        return grams
