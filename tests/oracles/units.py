#!/usr/bin/env python3
"""Holds the project's units against PyPI `pint`, exactly: fractions, no float anywhere.

    units.py            compare with fixtures/oracles/units.json
    units.py --print    print pint's own values as JSON: micrograms and microlitres, as exact decimals
"""

import json
import sys
from fractions import Fraction

import pint

from verdict import Verdict, stated

MASS = {
    "mg": "milligram",
    "g": "gram",
    "kg": "kilogram",
    "oz": "ounce",
    "lb": "pound",
    "ozt": "troy_ounce",
    "ct": "carat",
    "gr": "grain",
}

# A count and a unit of pint; the metric and Australian spoons are sizes by usage, which pint does not name.
VOLUME = {
    "ml": (1, "milliliter"),
    "l": (1, "liter"),
    "US teaspoon": (1, "teaspoon"),
    "US tablespoon": (1, "tablespoon"),
    "US fluid ounce": (1, "fluid_ounce"),
    "imperial fluid ounce": (1, "imperial_fluid_ounce"),
    "metric teaspoon": (5, "milliliter"),
    "metric tablespoon": (15, "milliliter"),
    "Australian tablespoon": (20, "milliliter"),
}

units = pint.UnitRegistry(non_int_type=Fraction)


def exact(count, unit, into):
    value = units.Quantity(Fraction(count), unit).to(into).magnitude
    if not isinstance(value, (Fraction, int)):
        raise TypeError(f"{unit} came out as {type(value).__name__}: no longer exact")
    return Fraction(value)


def reference():
    mass = {unit: exact(1, name, "microgram") for unit, name in MASS.items()}
    volume = {unit: exact(count, name, "microliter") for unit, (count, name) in VOLUME.items()}
    return mass, volume


def decimal_text(value):
    """A fraction as a decimal that ends; all units here do."""
    places = 0
    while (value * 10**places).denominator != 1:
        places += 1
        if 30 < places:
            raise ValueError(f"{value} has no end as a decimal")
    digits = str((value * 10**places).numerator).rjust(places + 1, "0")
    return digits if places == 0 else f"{digits[:-places]}.{digits[-places:]}"


def compare(mass, volume):
    verdict = Verdict("units")
    statement = stated("units.json")
    for kind, values in (("mass", mass), ("volume", volume)):
        listed = {
            entry["unit"]: Fraction(entry["numerator"], entry["denominator"])
            for entry in statement[kind]
        }
        verdict.check(f"the units of {kind}", sorted(listed), sorted(values))
        for unit in listed.keys() & values.keys():
            verdict.check(f"1 {unit}", listed[unit], values[unit])
    for entry in statement["rounded"]:
        # Python rounds a Fraction half to even, once: the law of the project.
        right = round(Fraction(entry["number"]) * mass[entry["unit"]])
        verdict.check(f"{entry['number']} {entry['unit']}", entry["micrograms"], right)
    return verdict.exit_code()


def main():
    mass, volume = reference()
    if sys.argv[1:] == ["--print"]:
        print(
            json.dumps(
                {
                    "mass_ug": {unit: decimal_text(value) for unit, value in mass.items()},
                    "volume_ul": {unit: decimal_text(value) for unit, value in volume.items()},
                },
                indent=2,
            )
        )
        return 0
    if sys.argv[1:]:
        print(__doc__, file=sys.stderr)
        return 2
    return compare(mass, volume)


if __name__ == "__main__":
    sys.exit(main())
