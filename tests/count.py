#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Counts the test cases of a run: count.py FOLDER, the meson-logs of a build. Prints "PASSED FAILED".

The cases stand in meson's JUnit file. A program that died says nothing there when the cases that it had come to had passed, so
the verdict on each program is taken from meson's own list.
"""
import json
import pathlib
import re
import sys
import xml.etree.ElementTree as ET

FINE = {"OK", "SKIP", "EXPECTEDFAIL"}

logs = pathlib.Path(sys.argv[1])
# Meson copies what a program printed as it stands; XML knows no control characters.
text = (logs / "testlog.junit.xml").read_text(encoding="utf-8", errors="replace")
text = re.sub("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]", " ", text)
passed = failed_cases = 0
for case in ET.fromstring(text.encode("utf-8")).iter("testcase"):
    if case.find("failure") is not None or case.find("error") is not None:
        failed_cases += 1
    elif case.find("skipped") is None:
        passed += 1
lines = (logs / "testlog.json").read_text(encoding="utf-8", errors="replace").splitlines()
failed_programs = sum(json.loads(line)["result"] not in FINE for line in lines)
print(passed, max(failed_cases, failed_programs))
