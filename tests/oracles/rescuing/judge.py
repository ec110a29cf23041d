"""Holds one answer of the program against the reference, and against the rules of every answer."""

from fractions import Fraction

from .option import KINDS, Option
from .reference import Floats, Fractions, Reference
from .rules import broken, out_of_order
from .situation import Situation

OBJECTIVE = 1e-6
BORDER = Fraction(1, 10**7)


def judge(case, answer, findings):
    """Judges one answer; returns its options for whoever looks further."""
    situation = Situation(case)
    options = [Option(answered) for answered in answer["options"]]
    if sorted(option.kind for option in options) != sorted(KINDS):
        findings.complain(case, f"the ways out are {[option.kind for option in options]}")
        return situation, []
    for what, stated, right in (
        ("planned", answer["planned_g"], situation.planned),
        ("in the jar", answer["in_jar_g"], situation.in_jar),
    ):
        if OBJECTIVE < abs(stated - right):
            findings.complain(case, f"{what}: says {stated} g, and it is {float(right)} g")
    if answer["recommended"] is not None and not answer["reason"]:
        findings.complain(case, "gives no reason")
    reference = Reference(situation, Floats())
    sound = True
    for option in options:
        findings.counts["options"] += 1
        findings.counts[f"{option.kind} feasible" if option.feasible else f"{option.kind} infeasible"] += 1
        lines = _against_the_reference(situation, option, reference, findings)
        if lines is None:
            continue
        rules = broken(situation, option) if option.feasible else []
        sound = sound and not rules
        # A sentence exactly where it cannot be done.
        reasoned = bool(option.why_not) != option.feasible
        lines += rules + ([] if reasoned else [f"says why not: {option.why_not}"])
        for line in lines:
            findings.complain(case, f"{option.kind}: {line}")
    if sound:
        for line in out_of_order(situation, options, answer["recommended"]):
            findings.complain(case, line)
    return situation, options


def _against_the_reference(situation, option, reference, findings):
    """Compares with HiGHS; where they disagree, fractions have the last word. None leaves the option out."""
    lines = _disagreement(option, reference.outcome(option.kind), findings)
    if not lines:
        return []
    findings.counts["settled in fractions"] += 1
    outcome = Reference(situation, Fractions()).outcome(option.kind)
    if option.feasible and outcome is None and _on_the_border(situation, option.kind):
        # What is missing is less than the program is asked to see.
        findings.counts["left out at the border"] += 1
        return None
    return _disagreement(option, outcome, findings)


def _disagreement(option, outcome, findings):
    if (outcome is not None) != option.feasible:
        return ["cannot be done, and it says it can" if option.feasible else "can be done, and it says it cannot"]
    if outcome is None:
        return []
    pairs = [("grams in all", option.total, outcome.total), ("grams taken out", option.taken, outcome.take_out)]
    if option.kind == "top-up-least":
        pairs.append(("the deviation", option.worst_deviation, outcome.deviation))
    lines = []
    for what, stated, right in pairs:
        by = float("inf") if right is None else abs(float(stated) - float(right))
        if OBJECTIVE < by:
            lines.append(f"{what} {float(stated)}, and the best is {right if right is None else float(right)}")
        else:
            findings.differ(what, by)
    return lines


def _on_the_border(situation, kind):
    """Whether a hair more stock and room would make it possible."""
    wider = situation.with_limits(1 + BORDER, BORDER * situation.planned)
    return Reference(wider, Fractions()).outcome(kind) is not None
