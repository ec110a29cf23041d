#!/usr/bin/env python3
"""The bench page in a real browser: real programs, a double of a scale, and somebody who looks and clicks.

    main.py [NAME...]        all tests, or those of these names (`test_looks`, `test_looks.Looks`)

TAREHAND_BIN and TAREHANDD_BIN name the programs. It ends with a line of counts, as the checks beside it do.
"""

import sys
import time
import unittest
from pathlib import Path

from browser import Browser

HERE = Path(__file__).resolve().parent


class Told(unittest.TestResult):
    """Says each test as the sentence that its name is; a part of a test that fails is a failure of its own."""

    def __init__(self):
        super().__init__()
        self.passed = self.failed = 0

    def startTest(self, test):
        super().startTest(test)
        self._begun = time.monotonic()
        self._failed_before = self.failed

    def stopTest(self, test):
        super().stopTest(test)
        good = self.failed == self._failed_before
        self.passed += good
        sentence = test.id().rsplit(".", 1)[-1].removeprefix("test_").replace("_", " ")
        print(f"{'ok' if good else 'FAILED'}: {sentence} ({time.monotonic() - self._begun:.1f} s)", flush=True)

    def _fail(self, test, error):
        self.failed += 1
        print(f"\n{test}:\n{self._exc_info_to_string(error, test)}", flush=True)

    def addError(self, test, err):
        self._fail(test, err)

    def addFailure(self, test, err):
        self._fail(test, err)

    def addSubTest(self, test, subtest, err):
        if err is not None:
            self._fail(subtest, err)

    def addSkip(self, test, reason):
        self.failed += 1
        print(f"\n{test} was left out: {reason}", flush=True)


def main():
    names = sys.argv[1:]
    loader = unittest.defaultTestLoader
    suite = loader.loadTestsFromNames(names) if names else loader.discover(str(HERE))
    told = Told()
    try:
        suite.run(told)
    finally:
        Browser.end()
    print(f"browser: {told.passed} passed, {told.failed} failed")
    return 0 if told.failed == 0 < told.passed else 1


if __name__ == "__main__":
    sys.exit(main())
