#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Counts the test cases in meson's JUnit file: prints "PASSED FAILED"."""
import sys
import xml.etree.ElementTree as ET

passed = failed = 0
for suite in ET.parse(sys.argv[1]).getroot().iter("testsuite"):
    cases = list(suite.iter("testcase"))
    for case in cases:
        if case.find("failure") is not None or case.find("error") is not None:
            failed += 1
        elif case.find("skipped") is None:
            passed += 1
    # A program that died before or after its cases is an error of the suite as a whole.
    if not any(c.find("failure") is not None or c.find("error") is not None for c in cases):
        failed += int(suite.get("errors", 0)) + int(suite.get("failures", 0))
print(passed, failed)
