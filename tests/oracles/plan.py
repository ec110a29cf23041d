#!/usr/bin/env python3
"""Holds `tarehand plan` against an independent computation with pint, numpy and scipy.

plan.py BINARY               random sets
plan.py BINARY --cases N     fewer or more of them
plan.py BINARY --case N      one of them: its files, the answer, what is wrong with it
"""

import argparse
import json
import math
import subprocess
import sys
import tempfile
from pathlib import Path

from planning import case as cases
from planning import reference
from verdict import Verdict

CASES = 250
LIMIT_S = 60
# The program rounds the density of a mix to a millionth of g/ml before a volume becomes a weight.
CLOSE = 3e-6


class Findings(Verdict):
    """Compares numbers and remembers how far apart they were at most."""

    def __init__(self, topic):
        super().__init__(topic)
        self.furthest = 0.0

    def close(self, what, stated, expected):
        if stated is None or expected is None:
            self.check(what, stated, expected)
            return
        apart = abs(stated - expected) / max(abs(expected), 1e-9)
        self.furthest = max(self.furthest, apart)
        near = apart <= CLOSE or math.isclose(stated, expected, abs_tol=2e-6)
        self.check(what, stated if not near else expected, expected)


def ask(binary, made):
    with tempfile.TemporaryDirectory(prefix="tarehand-plan-") as name:
        folder = Path(name)
        cases.write(made, folder)
        run = subprocess.run(
            [binary, "plan", "random-set.toml", "--json", "--fluid-ounce", "us"],
            cwd=folder,
            env={"PATH": "/usr/local/bin:/usr/bin:/bin", "LANG": "C.UTF-8", "HOME": str(folder)},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=LIMIT_S,
            check=False,
        )
    if run.returncode != 0:
        return None, run.stderr
    return json.loads(run.stdout), run.stderr


def judge(made, answer, findings):
    expected = reference.plan(made)
    at = f"case {made.number}"
    findings.close(f"{at}: area", answer["area_cm2"], expected["area_cm2"])
    findings.close(f"{at}: pour", answer["pour_ml"], expected["pour_ml"])
    findings.check(f"{at}: number of jars", len(answer["jars"]), len(expected["jars"]))
    for jar, wanted in zip(answer["jars"], expected["jars"]):
        for key, value in wanted.items():
            findings.close(f"{at}: {jar['recipe']} {key}", jar[key], value)
    premixes = {one["key"]: one["grams"] for one in answer["premixes"]}
    findings.check(f"{at}: premixes", sorted(premixes), sorted(expected["premixes"]))
    for key, grams in expected["premixes"].items():
        findings.close(f"{at}: premix {key}", premixes.get(key), grams)
    needs = {one["ingredient"]: one for one in answer["shelf"]}
    findings.check(f"{at}: ingredients", sorted(needs), sorted(expected["raw"]))
    for one in made.ingredients:
        grams, need = expected["raw"].get(one.key), needs.get(one.key)
        if grams is None or need is None:
            continue
        findings.close(f"{at}: {one.key}", need["grams"], grams)
        short = one.stock_g and max(0.0, grams - float(one.stock_g))
        if short and short > 1e-3:
            # A shortage is a small difference of large numbers: it is held as closely as what is needed.
            findings.close(f"{at}: {one.key} short", need["short_g"] + float(one.stock_g), grams)
            if one.price and abs(short / float(one.price[1]) % 1) > 1e-4:
                findings.check(f"{at}: {one.key} packs", need["packs"], math.ceil(short / float(one.price[1])))
        elif not short:
            findings.check(f"{at}: {one.key} short", need["short_g"], None)
    cost = sum(line["amount"] for line in answer["cost"])
    findings.close(f"{at}: cost", cost, expected["cost"])
    # Both walks are whole: every pour of every jar, in the recipe's order.
    recipes = {one.key: [name for name, _ in one.amounts] for one in made.mixes}
    for walk in ("by_jar", "by_bottle"):
        for number, jar in enumerate(made.jars, 1):
            pours = [pour["ingredient"] for pour in answer[walk]["pours"] if pour["jar"] == number]
            findings.check(f"{at}: {walk} {jar['recipe']}", pours, recipes[jar["recipe"]])


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("binary", type=lambda text: Path(text).resolve())
    parser.add_argument("--cases", type=int, default=CASES)
    parser.add_argument("--case", type=int)
    arguments = parser.parse_args()
    findings = Findings("plans against an independent computation")
    numbers = range(arguments.cases) if arguments.case is None else [arguments.case]
    for number in numbers:
        made = cases.case(number)
        answer, said = ask(arguments.binary, made)
        if answer is None:
            findings.check(f"case {number} is planned", said, "an answer")
            continue
        judge(made, answer, findings)
        if arguments.case is not None:
            print(json.dumps(answer, indent=2))
    print(f"largest relative difference {findings.furthest:.1e}")
    return findings.exit_code()


if __name__ == "__main__":
    sys.exit(main())
