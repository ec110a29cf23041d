#!/usr/bin/env python3
"""Holds what the project says of a weighing's uncertainty against PyPI `uncertainties`.

Compared at the digits stated: the reference is rounded to them, half to even.
"""

import math
import sys
from decimal import Decimal

from uncertainties import ufloat

from verdict import Verdict, stated


def at_digits_of(text, value):
    """The value rounded to as many digits after the point as the text has."""
    return Decimal(repr(float(value))).quantize(Decimal(text))


def reading(grams, division_g):
    """One reading; rounding to the division is a uniform error of its width (JCGM 100, 4.3.7)."""
    return ufloat(grams, division_g / math.sqrt(12))


def smallest_amounts(verdict, section):
    # Two readings make a net; twice the uncertainty of their difference, in divisions.
    net = reading(0, 1) - reading(0, 1)
    verdict.check("the factor", Decimal(section["factor"]), at_digits_of(section["factor"], 2 * net.s))
    for case in section["cases"]:
        exact = Decimal(section["factor"]) * Decimal(case["division_g"]) / Decimal(case["relative"])
        verdict.check(f"d = {case['division_g']} g", Decimal(case["amount_g"]), exact)
        # By the definition: twice the net's uncertainty is the wanted share of that amount, to the factor's digits.
        net = reading(0, float(case["division_g"])) - reading(0, float(case["division_g"]))
        amount = 2 * net.s / float(case["relative"])
        verdict.check(
            f"d = {case['division_g']} g, propagated",
            Decimal(case["amount_g"]),
            at_digits_of(case["amount_g"], amount),
        )


def ratios(verdict, section):
    for case in section["cases"]:
        first, second, division = (
            float(case[key]) for key in ("first_g", "second_g", "division_g")
        )
        empty = reading(0.0, division)
        between = reading(first, division)
        full = reading(first + second, division)
        shared = (between - empty) / (full - between)
        apart = (reading(first, division) - reading(0.0, division)) / (
            reading(second, division) - reading(0.0, division)
        )
        name = f"{case['first_g']} to {case['second_g']}"
        verdict.check(name, Decimal(case["ratio"]), at_digits_of(case["ratio"], shared.n))
        for key, ratio in (("uncertainty", shared), ("uncertainty_if_independent", apart)):
            verdict.check(f"{name}, {key}", Decimal(case[key]), at_digits_of(case[key], ratio.s))


def concentration(verdict, section):
    def quantity(name, unit):
        return ufloat(float(section[f"{name}{unit}"]), float(section[f"{name}_uncertainty{unit}"]))

    result = 1000 * quantity("purity", "") * quantity("mass", "_mg") / quantity("volume", "_ml")
    for key, value in (("mg_per_l", result.n), ("uncertainty_mg_per_l", result.s)):
        verdict.check(f"the worked example, {key}", Decimal(section[key]), at_digits_of(section[key], value))


def main():
    verdict = Verdict("weighing")
    statement = stated("weighing.json")
    smallest_amounts(verdict, statement["smallest_amount"])
    ratios(verdict, statement["ratio"])
    concentration(verdict, statement["concentration"])
    return verdict.exit_code()


if __name__ == "__main__":
    sys.exit(main())
