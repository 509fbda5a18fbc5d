#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The main job once, in the real window: main-job.py SHIMBOOK SHIMBOOKCTL SHIMBOOK-FRAMES [PICTURES]. Prints TAP.

A lens is added, a test opened, frames taken in and measured, a setting accepted, seen in Slots, and the kit sheet saved. The frames
come from the generator, so what the window shows can be held against the truth. With a folder PICTURES, every station is photographed.
"""
import json
import pathlib
import re
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import drive as ui  # noqa: E402

SHIMBOOK, CTL, FRAMES = sys.argv[1:4]
PICTURES = pathlib.Path(sys.argv[4]) if len(sys.argv) > 4 else None
TRUTH_MM = [2.0, -1.5, 4.0]  # true offsets of the frames, inside the tolerance of about 25 mm


def ok(what):
    number = ui.ok(what)
    if PICTURES:
        ui.picture(str(PICTURES / f"{number:02}.png"))


def ctl(*words):
    done = subprocess.run([CTL, words[0], "--json", "--register", str(register), *words[1:]],
                          capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


def choose_file(title, path):
    """Types PATH into the file chooser, as a person who knows where a file lies would."""
    ui.until(lambda: ui.find("*", title) and subprocess.run(["xdotool", "getactivewindow", "getwindowname"],
             capture_output=True, text=True).stdout.strip() == title, f"file chooser “{title}”")
    ui.press("ctrl+a")
    ui.type_text(str(path))
    ui.press("Return")


def fill(label, value):
    ui.set_text(ui.wait("text", label), value)


def kit():
    ui.act(ui.wait("push button", "Lenses"))
    ui.act(ui.wait("push button", "Add"))
    ui.act(ui.wait("menu item", "Lens…"))
    ui.wait("frame", "New Lens")
    fill("Name", "Velle 50")
    fill("Serial number", "V5-11873")
    fill("Shortest focal length (mm)", "50")
    fill("Widest aperture, wide end (f/)", "1.8")
    save = ui.wait("push button", "Save")
    assert not ui.has_state(save, "sensitive"), "a lens without a mount must not be stored"
    ui.choose(ui.wait("combo box", "Mount"), "F", clicked=True)
    ui.until(lambda: ui.has_state(save, "sensitive"), "Save to become possible")
    ui.act(save)
    ui.until(lambda: ui.find("label", "V5-11873") or ui.find("label", "/Lens · V5-11873/"), "the new lens in the list")
    ok("a lens is added in Kit")


def open_test():
    ui.press("alt+3")
    ui.act(ui.wait("push button", "Set Up the Test"))
    ui.wait("label", "Orrin Two, Velle 50")
    ok("a test is opened on the Bench")


def add_frames():
    for index, frame in enumerate(frames):
        if index == 1:
            ui.press("ctrl+o")  # for this place alone: it must not open what another place would
        else:
            ui.act(ui.wait("push button", "Add Frames…"))
        choose_file("Add Frames", frame)
        ui.until(lambda: ui.find("label", re.escape(frame.name).join(["/", "/"])), f"{frame.name} in the round", 60)
        if index == 0:
            ui.act(ui.wait("push button", "Fit"))
            ui.act(ui.wait("push button", "Target"))
            ui.click(ui.wait("*", "/^Photograph/"))
        ui.until(lambda: len(readings()) == index + 1, f"{frame.name} to be measured", 60)
    ok("frames are taken in and measured")


def readings():
    """Offsets as the round's list shows them: “+2.03 ± 0.31 mm”, between the signs that keep a number in one direction."""
    found = []
    for node in ui.find_all("list item", "/^Frame [0-9]+: /"):
        match = re.search("([+−]?[0-9.]+)\u00a0±\u00a0([0-9.]+)\u00a0mm", node.get_name())
        if match:
            found.append((float(match[1].replace("−", "-")), float(match[2])))
    return found


def compare():
    shown = readings()
    assert len(shown) == len(TRUTH_MM), shown
    for (value, error), truth in zip(shown, TRUTH_MM):
        # A click hits the target line to a pixel of the screen, some 3 mm; between frames that share the mark it cancels.
        assert abs(value - truth) < 8 and error < 3, (value, error, truth)
        step, true_step = value - shown[0][0], truth - TRUTH_MM[0]
        assert abs(step - true_step) < 3 * (error + shown[0][1]), (shown, TRUTH_MM)
    ok("the offsets shown agree with the truth within their errors")


def accept():
    ui.act(ui.wait("push button", "Accept a Setting…"))
    ui.act(ui.wait("push button", "Accept"))
    ui.until(lambda: [s for s in ctl("slots", "Orrin Two") if s["lens"] == "Velle 50"], "the slot in the register")
    ok("a setting is accepted into a slot")


def come_back():
    """The zoom is written over a photograph only: left and opened again, the test shows one."""
    ui.act(ui.wait("push button", "Leave the test"))
    ui.click(ui.wait("label", "/, begun /"))
    ui.wait("push button", "Leave the test")
    ui.until(lambda: ui.find("label", "/^\\u2066[0-9]+ %/"), "the photograph of the frame that was shown")
    ok("a test that was left is opened again, with its frame")


def slots():
    ui.press("alt+4")
    ui.click(ui.wait("label", "Orrin Two · 70310522") if ui.find("label", "Orrin Two · 70310522") else ui.wait("label", "70310522"))
    ui.until(lambda: ui.find("label", "19 of 20 slots free"), "19 of 20 slots free")
    ui.until(lambda: ui.find("label", "Velle 50"), "the lens in Slots")
    ok("Slots shows the lens in its slot")


def sheet():
    ui.press("alt+5")
    ui.act(ui.wait("push button", "Whole Kit"))
    ui.act(ui.wait("menu item", "/PDF.*A4/"))
    choose_file("Save the Kit Sheet", sheet_path)
    ui.until(lambda: sheet_path.exists() and sheet_path.stat().st_size > 0, "the kit sheet on disk")
    text = subprocess.run(["pdftotext", "-layout", sheet_path, "-"], capture_output=True, text=True, check=True).stdout
    assert "V5-11873" in text and "70310522" in text and "slot 1" in text, text
    ok("the kit sheet is saved, with serials and slot")


def quit_window(window):
    ui.press("ctrl+q")
    assert window.wait(20) == 0
    assert ctl("check")["ok"]
    ok("the window ends well and the register is sound")


with tempfile.TemporaryDirectory() as folder:
    home = pathlib.Path(folder)
    register = home / "test.shimbook"
    sheet_path = home / "sheet.pdf"
    frames = []
    for number, truth in enumerate(TRUTH_MM, 1):
        frames.append(home / f"FRAME-{number}.jpg")
        subprocess.run([FRAMES, f"--delta={truth}", f"--seed={number}", "--body-serial=70310522", "--lens-serial=V5-11873",
                        "--quality=97", str(frames[-1])], check=True, stdout=subprocess.DEVNULL)
    ctl("add", "body", "label=Orrin Two", "serial=70310522", "mount=F", "range_min=-20", "range_max=20", "slot_count=20",
        "tells_lenses_by=serial", "format_width_mm=36", "format_height_mm=24")
    process = subprocess.Popen([SHIMBOOK, "--register", str(register)])
    try:
        ui.wait("frame", "Shimbook")
        for station in (kit, open_test, add_frames, compare, accept, come_back, slots, sheet):
            station()
        quit_window(process)
    except BaseException:
        ui.dump()
        if PICTURES:
            ui.picture(str(PICTURES / "failed.png"))
        raise
    finally:
        process.kill()
ui.plan()
