"""The uncertainty of a result, from nothing but what the scale showed: by propagation, and by trying it out.

Readings: the empty jar, after each pour, after taking out, after each addition. Each is rounded to the division, a
uniform error of its width (JCGM 100, 4.3.7); a net is a difference of two, so neighbours share an error.
"""

import math
from itertools import pairwise

import numpy as np
from uncertainties import ufloat

DRAWS = 200_000


def readings(situation, option):
    """What the scale shows without an error, in order."""
    shown = [0.0]
    for _, grams in situation.poured:
        shown.append(shown[-1] + float(grams))
    if option.taken:
        shown.append(shown[-1] - float(option.taken))
    for _, grams in option.add:
        shown.append(shown[-1] + float(grams))
    return shown


def shares(situation, option, shown):
    """The share of each raw by these readings; they may be numbers, arrays, or numbers with an uncertainty."""
    nets = iter([after - before for before, after in pairwise(shown)])
    grams = dict.fromkeys(situation.raws, 0.0)

    def add(source, net):
        for raw, fraction in situation.a[source].items():
            grams[raw] = grams[raw] + float(fraction) * net

    for source, _ in situation.poured:
        add(source, next(nets))
    if option.taken:
        there = shown[len(situation.poured)] - shown[0]
        kept = (there + next(nets)) / there
        grams = {raw: kept * net for raw, net in grams.items()}
    for source, _ in option.add:
        add(source, next(nets))
    total = shown[-1] - shown[0]
    return {raw: net / total for raw, net in grams.items()}


def propagated(situation, option):
    """Twice the standard uncertainty of each share, by PyPI `uncertainties`."""
    one = float(situation.division) / math.sqrt(12)
    shown = [ufloat(grams, one) for grams in readings(situation, option)]
    return {raw: 2 * getattr(share, "s", 0.0) for raw, share in shares(situation, option, shown).items()}


def tried_out(situation, option, seed):
    """The same by drawing the errors of the readings."""
    draw = np.random.default_rng(seed)
    half = float(situation.division) / 2
    shown = [grams + draw.uniform(-half, half, DRAWS) for grams in readings(situation, option)]
    return {raw: 2 * float(np.std(share)) for raw, share in shares(situation, option, shown).items()}


def compare(case, situation, options, findings, seed):
    division = float(situation.division)
    for option in options:
        if not option.feasible:
            continue
        by_propagation = propagated(situation, option)
        by_draws = tried_out(situation, option, seed)
        # What a bend of second order may do, which propagation leaves out.
        bend = 2 * (division / float(option.total)) ** 2
        for raw, stated in option.uncertainty.items():
            findings.counts["uncertainties"] += 1
            right, drawn = by_propagation[raw], by_draws[raw]
            off = abs(stated - right) / max(right, 1e-9)
            if 1e-6 < off:
                findings.complain(case, f"{option.kind}: {raw} ± {stated}, propagation gives {right}")
            else:
                findings.differ("uncertainty, relative, to propagation", off)
            if 0.03 * drawn + bend < abs(stated - drawn):
                findings.complain(case, f"{option.kind}: {raw} ± {stated}, drawing gives {drawn}")
            elif 1e-9 < drawn:
                findings.differ("uncertainty, relative, to drawing", abs(stated - drawn) / drawn)
