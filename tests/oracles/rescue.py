#!/usr/bin/env python3
"""Holds `tarehand rescue` against scipy's HiGHS, exact fractions, PyPI `uncertainties` and published corrections.

rescue.py BINARY               5,000 random rescues, the published ones, and the uncertainty of some
rescue.py BINARY --cases N     fewer or more of the random ones
rescue.py BINARY --case N      one random rescue: its files, its command, the answer, what is wrong with it
rescue.py --bench              how long the solver takes, without the program
"""

import argparse
import json
import shlex
import subprocess
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from rescuing import bench, generate, published, uncertainty
from rescuing.findings import Findings
from rescuing.judge import judge
from rescuing.program import Refused, ask, ask_in
from verdict import Verdict

CASES = 5_000
WITH_UNCERTAINTY = 40
# The program and its judge are one process after the other, so this many of them run.
AT_ONCE = 2
CHUNK = 50
MOST_LEFT_OUT = 0.01
MOST_LINES = 100


def answered(binary, case, findings):
    """Asks and judges; returns the situation and the options, or None where there is nothing to look at."""
    findings.counts["cases"] += 1
    try:
        return judge(case, ask(binary, case), findings)
    except (Refused, subprocess.TimeoutExpired) as refused:
        findings.complain(case, f"gave no answer: {refused}")
    except (LookupError, TypeError, ValueError, ArithmeticError) as error:
        findings.complain(case, f"the answer is not of its form: {error!r}")
    return None


def random_cases(binary, numbers):
    findings = Findings()
    for number in numbers:
        answered(binary, generate.case(number), findings)
    return findings


def uncertain_cases(binary, numbers):
    findings = Findings()
    for number in numbers:
        case = generate.weighed(number)
        judged = answered(binary, case, findings)
        if judged:
            uncertainty.compare(case, *judged, findings, seed=number)
    return findings


def published_cases(binary, known):
    findings = Findings()
    for one in known:
        judged = answered(binary, one.case, findings)
        if judged:
            published.compare(one, judged[1], findings)
    return findings


def everything(binary, cases):
    jobs = [(published_cases, published.KNOWN)]
    jobs += [(uncertain_cases, range(at, at + 5)) for at in range(0, WITH_UNCERTAINTY, 5)]
    jobs += [(random_cases, range(at, min(at + CHUNK, cases))) for at in range(0, cases, CHUNK)]
    findings = Findings()
    with ProcessPoolExecutor(AT_ONCE) as pool:
        for found in [pool.submit(job, binary, part) for job, part in jobs]:
            findings.add(found.result())
    verdict = verdict_on(findings)
    left_out = findings.counts["left out at the border"]
    verdict.check(
        f"{left_out} of {findings.counts['options']} options left out, no more than one in a hundred",
        left_out <= MOST_LEFT_OUT * findings.counts["options"],
        True,
    )
    return verdict.exit_code()


def verdict_on(findings):
    for name, line in findings.complaints[:MOST_LINES]:
        print(f"{name}: {line}")
    if MOST_LINES < len(findings.complaints):
        print(f"and {len(findings.complaints) - MOST_LINES} lines more")
    for what, count in sorted(findings.counts.items()):
        print(f"{count:>8} {what}")
    for what, by in sorted(findings.largest.items()):
        print(f"{by:8.1e} largest difference, {what}")
    verdict = Verdict("rescue")
    bad = len({name for name, _ in findings.complaints})
    verdict.tally(findings.counts["cases"] - bad, bad)
    return verdict


def show(binary, number):
    """One random case, for whoever looks for the reason; its files are kept."""
    case = generate.case(number)
    folder = Path(tempfile.mkdtemp(prefix="tarehand-rescue-"))
    case.write(folder)
    for path in sorted(folder.iterdir()):
        print(f"---- {path}\n{path.read_text(encoding='utf-8')}")
    print(shlex.join([binary, *case.arguments(folder)]))
    findings = Findings()
    findings.counts["cases"] += 1
    answer = ask_in(folder, binary, case)
    print(json.dumps(answer, indent=2))
    judge(case, answer, findings)
    return verdict_on(findings).exit_code()


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("binary", nargs="?")
    parser.add_argument("--cases", type=int, default=CASES)
    parser.add_argument("--case", type=int)
    parser.add_argument("--bench", action="store_true")
    arguments = parser.parse_args()
    if arguments.bench:
        bench.run()
        return 0
    if arguments.binary is None:
        parser.error("which binary?")
    binary = str(Path(arguments.binary).resolve())
    if arguments.case is not None:
        return show(binary, arguments.case)
    return everything(binary, arguments.cases)


if __name__ == "__main__":
    sys.exit(main())
