# SPDX-License-Identifier: GPL-3.0-or-later
"""A small kit of invented items, with settings written down by another program, for tests of the window; and shimbookctl to look behind it."""
import json
import pathlib
import subprocess
import tempfile


class Kit:
    """Two bodies with one mount and one with another; the second tells lenses apart by model only."""

    def __init__(self, ctl, decide, empty=False):
        self.ctl_path, self.decide_path = ctl, decide
        self.folder = tempfile.TemporaryDirectory()
        self.home = pathlib.Path(self.folder.name)
        self.register = self.home / "kit.shimbook"
        if empty:
            return
        for label, serial, mount, by in (("Ash", "0041233", "F", "serial"), ("Birch", "0041777", "F", "model"),
                                         ("Cedar", "V-2210", "K", "serial")):
            self.ctl("add", "body", f"label={label}", "maker=Orrin", f"serial={serial}", f"mount={mount}", "range_min=-20",
                     "range_max=20", "slot_count=20", f"tells_lenses_by={by}", "format_width_mm=36", "format_height_mm=24")
        for label, model, serial, focal in (("Heron", "Q50", "Q-8001", 50), ("Heron again", "Q50", "Q-8002", 50),
                                            ("Ibis", "Q85", "Q-8003", 85)):
            self.ctl("add", "lens", f"label={label}", "maker=Quast", f"model={model}", f"serial={serial}", "mount=F",
                     f"focal_min_mm={focal}", f"focal_max_mm={focal}", "aperture_wide=1.8", "aperture_long=1.8", "nearest_mm=450")

    def ctl(self, *words):
        done = subprocess.run([self.ctl_path, words[0], "--json", "--register", str(self.register), *words[1:]],
                              capture_output=True, text=True, check=False)
        assert done.returncode == 0, (words, done.stderr)
        return json.loads(done.stdout) if done.stdout.strip() else None

    def decide(self, body, lens, setting, slot="next"):
        subprocess.run([self.decide_path, str(self.register), body, lens, str(setting), slot], check=True)
