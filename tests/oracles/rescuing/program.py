"""Runs the real program on a case, in a folder that is gone afterwards."""

import json
import subprocess
import tempfile
from pathlib import Path

LIMIT_S = 60


class Refused(Exception):
    """The program gave no answer; says what it said instead."""


def ask(binary, case):
    """Returns the program's answer to a case."""
    with tempfile.TemporaryDirectory(prefix="tarehand-rescue-") as folder:
        return ask_in(Path(folder), binary, case)


def ask_in(folder, binary, case):
    case.write(folder)
    run = subprocess.run(
        [binary, *case.arguments(folder)],
        cwd=folder,
        # No setting of whoever runs this may lead the program elsewhere.
        env={"PATH": "/usr/local/bin:/usr/bin:/bin", "LANG": "C.UTF-8", "HOME": str(folder)},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=LIMIT_S,
        check=False,
    )
    if run.returncode != 0:
        raise Refused(f"exit code {run.returncode}: {run.stderr.strip()}")
    try:
        return json.loads(run.stdout)
    except json.JSONDecodeError as error:
        raise Refused(f"no JSON ({error}): {run.stdout[:200]!r}") from error
