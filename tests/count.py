#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Counts the test cases in meson's JUnit file: prints "PASSED FAILED"."""
import pathlib
import re
import sys
import xml.etree.ElementTree as ET

# Meson copies what a program printed as it stands; XML knows no control characters.
text = pathlib.Path(sys.argv[1]).read_text(encoding="utf-8", errors="replace")
text = re.sub("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]", " ", text)
passed = failed = 0
for suite in ET.fromstring(text.encode("utf-8")).iter("testsuite"):
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
