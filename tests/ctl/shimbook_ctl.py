# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs shimbookctl and shimbook-frames for the tests beside this file, and prints what unittest finds as TAP."""
import csv
import json
import os
import shutil
import subprocess
import sys
import tempfile
import unittest

CTL, FRAMES = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])
# The generator keeps the texts of its options until it ends; that is no leak to stop for.
QUIET = dict(os.environ, ASAN_OPTIONS=os.environ.get("ASAN_OPTIONS", "") + ":detect_leaks=0")

# A body of Tarn Valley School with a small sensor: its frames are quick to make and to measure.
BODY = ["label=Orrin Three", "maker=Orrin", "model=Orrin Three", "serial=0070310", "mount=F", "format_width_mm=17.28",
        "format_height_mm=9.6", "range_min=-20", "range_max=20", "direction=away", "slot_count=3", "tells_lenses_by=serial"]
LENS = ["label=Velle 50", "maker=Velle", "model=Velle 50mm f/1.8", "serial=V5-11873", "mount=F", "focal_min_mm=50",
        "aperture_wide=1.8"]


class Answer:
    """What one call gave back."""

    def __init__(self, process):
        self.status, self.out, self.err = process.returncode, process.stdout, process.stderr

    @property
    def json(self):
        return json.loads(self.out, parse_constant=lambda word: (_ for _ in ()).throw(ValueError(word)))


class CtlCase(unittest.TestCase):
    """A folder and a register of its own for every test."""

    def setUp(self):
        self.folder = tempfile.mkdtemp(prefix="shimbook-ctl-")
        self.register = self.path("kit.shimbook")
        self.addCleanup(shutil.rmtree, self.folder, True)

    def path(self, name):
        return os.path.join(self.folder, name)

    def write(self, name, data):
        with open(self.path(name), "wb") as file:
            file.write(data.encode() if isinstance(data, str) else data)
        return self.path(name)

    def run_ctl(self, *words):
        environment = dict(os.environ, LC_ALL="C.UTF-8", HOME=self.folder, XDG_DATA_HOME=self.folder)
        return Answer(subprocess.run([CTL, *map(str, words)], capture_output=True, text=True, env=environment, timeout=250))

    def ctl(self, *words, status=0):
        """Runs a command on this test's register and asks for an exit status."""
        answer = self.run_ctl("--register", self.register, *words)
        self.assertEqual(answer.status, status, f"{words}: {answer.out}{answer.err}")
        if status:
            self.assert_said(answer)
        return answer

    def json(self, *words, status=0):
        answer = self.run_ctl(words[0], "--json", "--register", self.register, *words[1:])
        self.assertEqual(answer.status, status, f"{words}: {answer.out}{answer.err}")
        return answer.json

    def assert_said(self, answer):
        """A failure is said in words: one line at least on standard error or output, no warning of a library."""
        self.assertTrue((answer.err + answer.out).strip())
        for noise in ("CRITICAL", "WARNING", "Segmentation", "(null)"):
            self.assertNotIn(noise, answer.err + answer.out)

    def add_kit(self):
        self.ctl("add", "body", *BODY)
        self.ctl("add", "lens", *LENS)


def make_frame(path, delta_mm, *words):
    """Makes a photograph of a ruler; returns where the target line lies in the upright picture."""
    truth = path + ".csv"
    subprocess.run([FRAMES, "--width=2880", "--height=1600", "--sensor=17.3x13", "--compact", f"--delta={delta_mm}",
                    "--make=Orrin", "--model=Orrin Three", "--body-serial=0070310", "--lens-model=Velle 50mm f/1.8",
                    "--lens-serial=V5-11873", f"--truth={truth}", *words, path], check=True, stdout=subprocess.DEVNULL, env=QUIET)
    with open(truth, encoding="utf-8") as file:
        row = list(csv.DictReader(file))[-1]
    os.remove(truth)
    return f"{row['aligned_up_x']},{row['aligned_up_y']}"


class TapResult(unittest.TestResult):
    def __init__(self):
        super().__init__()
        self.n = 0

    def say(self, ok, test, note=""):
        self.n += 1
        print(f"{'ok' if ok else 'not ok'} {self.n} {test.id().partition('.')[2] or test.id()}{note}", flush=True)

    def addSuccess(self, test):
        super().addSuccess(test)
        self.say(True, test)

    def addSkip(self, test, reason):
        super().addSkip(test, reason)
        self.say(True, test, f" # SKIP {reason}")

    def addError(self, test, err):
        super().addError(test, err)
        self.fail_with(test, err)

    def addFailure(self, test, err):
        super().addFailure(test, err)
        self.fail_with(test, err)

    def fail_with(self, test, err):
        self.say(False, test)
        for line in self._exc_info_to_string(err, test).splitlines():
            print(f"# {line}", flush=True)


def main():
    suite = unittest.defaultTestLoader.loadTestsFromModule(sys.modules["__main__"])
    print(f"1..{suite.countTestCases()}", flush=True)
    result = TapResult()
    suite.run(result)
    sys.exit(0 if result.wasSuccessful() else 1)
