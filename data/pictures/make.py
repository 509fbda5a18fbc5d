# SPDX-License-Identifier: GPL-3.0-or-later
"""Photographs the five places: make.py SHIMBOOK REGISTER FOLDER, on a display of 1240 × 780."""
import pathlib
import subprocess
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[2] / "tests" / "window"))
import drive as ui  # noqa: E402

SHIMBOOK, REGISTER, FOLDER = sys.argv[1], sys.argv[2], pathlib.Path(sys.argv[3])
SETTLE_S = 2.0  # nothing tells from outside when the last tile of a photograph is painted


def click_label(text):
    ui.click(ui.wait("label", text))


def take(name):
    time.sleep(SETTLE_S)
    subprocess.run(["xdotool", "mousemove", "1239", "779"], check=True)
    time.sleep(0.5)
    ui.picture(str(FOLDER / f"{name}.png"))
    subprocess.run(["convert", FOLDER / f"{name}.png", "-strip", "-colors", "200", f"PNG8:{FOLDER / name}.png"], check=True)


process = subprocess.Popen([SHIMBOOK, "--register", REGISTER], stderr=subprocess.DEVNULL)
try:
    ui.wait("frame", "Shimbook")
    window = ui.until(lambda: subprocess.run(["xdotool", "search", "--onlyvisible", "--name", "^Shimbook$"], capture_output=True,
                                             text=True).stdout.split(), "the window")[-1]
    subprocess.run(["xdotool", "windowmove", window, "0", "0", "windowsize", "--sync", window, "1240", "780"], check=True)
    click_label("Orrin Two · 70310522")
    take("kit")
    ui.press("alt+2")
    take("pairs")
    ui.press("alt+3")
    click_label("/^Orrin Two, Velle 50/")
    ui.wait("list item", "/^Frame 5: /", 60)
    take("bench")
    ui.press("alt+4")
    for label in ui.find_all("label", "Orrin Two · 70310522")[1:]:  # the first one belongs to Kit
        ui.click(label)
        break
    take("slots")
    ui.press("alt+5")
    click_label("Prize giving")
    take("jobs")
finally:
    process.kill()
