"""Works a set out with pint (units), scipy (one sparse system for all nested premixes) and numpy; floats throughout."""

import math
import re

import numpy
import pint
from scipy.sparse import csc_matrix, identity
from scipy.sparse.linalg import spsolve

UNITS = pint.UnitRegistry()
# The density of the oil that oil absorptions are measured with, in g/ml: 0.935 (the trade's 93.5 per hundred grams).
OIL = 0.935


def quantity(text):
    """Reads `1.5 in`, `900 cm2`, `1.06 g/ml`; the fluid ounce is the US one, as the command is told."""
    number, unit = re.fullmatch(r"([\d.]+)\s*(\S+)", text.strip()).groups()
    unit = {"cm2": "cm**2", "m2": "m**2", "in2": "inch**2", "in": "inch", "fl-oz": "US_fluid_ounce"}.get(unit, unit)
    return float(number) * UNITS(unit)


def piece_area(piece):
    """Square centimetres of one piece, edge included."""
    side = quantity(piece["edge"]) if piece.get("edge") else 0 * UNITS.cm
    if "width" in piece:
        width, height = quantity(piece["width"]), quantity(piece["height"])
        area, around = width * height, 2 * (width + height)
    elif "diameter" in piece:
        diameter = quantity(piece["diameter"])
        area, around = math.pi * diameter**2 / 4, math.pi * diameter
    else:
        area, around = quantity(piece["area"]), quantity(piece["around"])
    return (area + around * side).to("cm**2").magnitude


def thickness_cm(case):
    if case.measured:
        poured = quantity(case.measured["after"]) - quantity(case.measured["before"])
        volume = (poured / quantity(case.measured["density"])).to("ml").magnitude
        return volume / piece_area(case.measured)
    text = case.cover or "1 fl-oz per 25 in2"
    if " per " not in text:
        return quantity(text).to("cm").magnitude
    volume, area = text.split(" per ")
    area = area if area[0].isdigit() else f"1 {area}"
    return (quantity(volume) / quantity(area)).to("cm").magnitude


class Composition:
    """Every mix's fractions of what it is made of, as one matrix over mixes and raw ingredients."""

    def __init__(self, case):
        self.names = [one.key for one in case.ingredients] + [one.key for one in case.mixes]
        self.at = {name: place for place, name in enumerate(self.names)}
        self.raw = len(case.ingredients)
        rows, columns, values = [], [], []
        for one in case.mixes:
            amounts = numpy.array([float(amount) for _, amount in one.amounts])
            for (name, _), fraction in zip(one.amounts, amounts / amounts.sum()):
                rows.append(self.at[name])
                columns.append(self.at[one.key])
                values.append(fraction)
        size = len(self.names)
        # takes[i, j]: of one gram of j, so much is i. Total grams x of everything solve x = wanted + takes·x.
        self.takes = csc_matrix((values, (rows, columns)), shape=(size, size))

    def totals(self, wanted):
        system = identity(len(self.names), format="csc") - self.takes
        return numpy.atleast_1d(spsolve(system, wanted))

    def raw_of(self, key):
        """Raw fractions of one gram of a mix."""
        wanted = numpy.zeros(len(self.names))
        wanted[self.at[key]] = 1
        return self.totals(wanted)[: self.raw]


def shares(jars):
    percent = {at: float(jar["share"].split()[0]) / 100 for at, jar in enumerate(jars) if jar.get("share", "").endswith("%")}
    parts = {at: float(jar["share"].split()[0]) for at, jar in enumerate(jars) if jar.get("share", "").endswith("parts")}
    left = 1 - sum(percent.values())
    return percent | {at: left * number / sum(parts.values()) for at, number in parts.items()}


def film(case, fractions):
    """Water, solids by weight and by volume, pigment load; None where the shelf says too little."""
    used = [(one, grams) for one, grams in zip(case.ingredients, fractions) if grams > 0]
    density = lambda text: quantity(text).to("g/ml").magnitude
    staying = lambda one: float(one.solids) / 100 if one.solids else 1.0 if one.oil else 0.0 if one.water == "100" else None
    dry_density = lambda one: density(one.dry_density) if one.dry_density else density(one.density) if staying(one) == 1 else None

    def total(figure):
        values = [(figure(one), grams) for one, grams in used]
        return None if any(value is None for value, _ in values) else sum(value * grams for value, grams in values)

    def dry_volume(one):
        stays = staying(one)
        if stays is None:
            return None
        if stays == 0:
            return 0.0
        return None if dry_density(one) is None else stays / dry_density(one)

    wet = sum(grams / density(one.density) for one, grams in used)
    dry = total(dry_volume)
    found = {
        "added_water": sum(grams for one, grams in used if one.water == "100"),
        "water": total(lambda one: None if one.water is None else float(one.water) / 100),
        "solids": total(staying),
        "volume_solids": None if dry is None else dry / wet,
        "pvc": None,
        "critical_pvc": None,
    }
    pigments = [(one, grams) for one, grams in used if one.oil]
    if pigments and dry is not None and dry > 0:
        volume = sum(grams * dry_volume(one) for one, grams in pigments)
        oil = sum(grams * float(one.oil) / 100 / OIL for one, grams in pigments)
        found |= {"pvc": volume / dry, "critical_pvc": volume / (volume + oil)}
    return found


def plan(case):
    """Everything the program's answer is held against."""
    composition = Composition(case)
    area = sum(piece_area(piece) * piece["count"] for piece in case.pieces)
    pour = area * thickness_cm(case)
    volume = pour * (1 + (float(case.spare.split()[0]) / 100 if case.spare else 0))
    wet = numpy.array([quantity(one.density).to("g/ml").magnitude for one in case.ingredients])
    raw = [composition.raw_of(jar["recipe"]) for jar in case.jars]
    # The program knows densities to a millionth of g/ml and rounds every mix's to it.
    density = [1 / (fractions / wet).sum() for fractions in raw]
    share = shares(case.jars)
    by_weight = volume / sum(part / density[at] for at, part in share.items()) if share else 0
    grams = []
    for at, jar in enumerate(case.jars):
        if "make" in jar:
            grams.append(float(jar["make"].split()[0]))
        elif case.basis == "volume":
            grams.append(volume * share[at] * density[at])
        else:
            grams.append(by_weight * share[at])
    wanted = numpy.zeros(len(composition.names))
    for jar, mass in zip(case.jars, grams):
        wanted[composition.at[jar["recipe"]]] += mass
    # A heel stays in every premix that is drawn from; which those are follows from the totals without heels.
    drawn = composition.totals(wanted)
    jars = {jar["recipe"] for jar in case.jars}
    heel = float(case.heel.split()[0]) if case.heel else 0
    premixes = [name for name in composition.names[composition.raw :] if name not in jars and drawn[composition.at[name]] > 0]
    for name in premixes:
        wanted[composition.at[name]] += heel
    totals = composition.totals(wanted)
    return {
        "area_cm2": area,
        "pour_ml": pour,
        "jars": [{"grams": mass, "volume_ml": mass / density[at]} | film(case, raw[at]) for at, mass in enumerate(grams)],
        "premixes": {name: totals[composition.at[name]] for name in premixes},
        "raw": {one.key: totals[place] for place, one in enumerate(case.ingredients) if totals[place] > 0},
        "cost": sum(
            totals[place] * float(one.price[0]) / float(one.price[1])
            for place, one in enumerate(case.ingredients)
            if one.price
        ),
    }
