#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A kit from nothing by the keyboard alone: from-nothing.py SHIMBOOK SHIMBOOKCTL DECIDE. Prints TAP.

Bodies and lenses come from two tables as a spreadsheet writes them, a knock is noted, a body is reset and its values are ticked off as
they are keyed in again, and a job is prepared. The window gets nothing but keys; what came of them is read by shimbookctl.
"""
import os
import pathlib
import subprocess
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import drive as ui  # noqa: E402
from kit_at_hand import Kit  # noqa: E402

BODIES = """Name,Maker,Model,Serial,Mount,Slots,Lowest setting,Highest setting
Ash,Orrin,O-1,0041233,Orrin F,20,-20,20
Birch,Orrin,O-1,0041777,Orrin F,20,-20,20
Cedar,Velle,V-2,V-2210,K,5,-10,10
Dogrose,Velle,V-2,V-2211,K,5,-10,10
"""
LENSES = "Make;Model;Serial no.;Bayonet;Focal length;Aperture\n" + "".join(
    f"{maker};{focal} {maker[0]};00{100 + i};{mount};{focal} mm;f/2,8\n"
    for i, (maker, mount, focal) in enumerate((maker, mount, focal) for maker, mount in (("Orrin", "F"), ("Velle", "K"))
                                              for focal in ("35", "50", "85", "105", "24–70", "70–200")))


def tab_to(role, name, key="Tab"):
    """Goes on by Tab until the part of that name has the cursor, as a person without a mouse does."""
    node = ui.wait(role, name)
    for _ in range(40):
        if ui.settled(lambda: ui.has_state(node, "focused"), 0.1):
            return node
        ui.press(key)
    raise AssertionError(f"Tab never comes to {role} “{name}”")


def tab_and_press(role, name):
    tab_to(role, name)
    ui.press("Return")


def preview_opens():
    """Enter may have gone into completing the name; then it is pressed again."""
    if ui.title_is("Choose a Table"):
        ui.press("Return")
    for _ in range(20):
        if ui.title_is("Items from a Table"):
            return True
        time.sleep(0.05)
    return False


def choose_table(name, text):
    path = kit.home / name
    path.write_text(text, encoding="utf-8")
    ui.until(lambda: ui.title_is("Choose a Table"), "the file chooser")
    ui.press("ctrl+l")
    ui.type_text(str(path))
    ui.until(preview_opens, "the preview")
    ui.until(lambda: ui.has_state(ui.wait("push button", "Store"), "sensitive"), "Store to become possible")
    ui.press("alt+s")


def bodies():
    tab_and_press("push button", "From a Table…")
    choose_table("bodies.csv", BODIES)
    ui.until(lambda: len(kit.ctl("list", "body")) == 4, "four bodies")
    assert {body["mount"] for body in kit.ctl("list", "body")} == {"F", "K"}
    ui.ok("four bodies come from a table")


def lenses():
    ui.until(lambda: ui.title_is("Shimbook"), "the window")
    tab_to("*", "/^Add/")
    ui.press("Return")
    ui.wait("menu item", "From a Table…")
    ui.press("t")
    choose_table("lenses.csv", LENSES)
    ui.until(lambda: len(kit.ctl("list", "lens")) == 12, "twelve lenses")
    zoom = next(lens for lens in kit.ctl("list", "lens") if lens["label"] == "Velle 70–200 V")
    assert (zoom["serial"], zoom["focal_min_mm"], zoom["focal_max_mm"], zoom["aperture_wide"]) == ("00111", 70, 200, 2.8), zoom
    ui.ok("twelve lenses come from a table of another make")


def knock():
    ui.until(lambda: ui.title_is("Shimbook"), "the window")
    ui.press("ctrl+k")
    ui.until(lambda: ui.title_is("Find Anything"), "the search")
    ui.type_text("0041777")
    ui.wait("list item", "/^Birch/")
    ui.press("Return")
    tab_and_press("push button", "Note an Event…")
    ui.until(lambda: ui.title_is("Event: Birch"), "the form")
    ui.choose(tab_to("combo box", "What happened"), "Knock or fall")
    ui.press("Tab", "Tab", "Tab")
    ui.type_text("off the tripod")
    ui.until(lambda: ui.has_state(ui.wait("push button", "Note"), "sensitive"), "Note to become possible")
    ui.press("Return")
    ui.until(lambda: [event for event in kit.ctl("list", "event") if event["event_kind"] == "knock" and event["note"] == "off the tripod"],
             "the knock in the register")
    ui.ok("a knock is noted")


def reset():
    """The settings are decided by another program while the window is open."""
    kit.decide("Ash", "Orrin 50 O", 3)
    kit.decide("Ash", "Orrin 85 O", -4)
    ui.press("alt+4")
    ui.wait("label", "Choose a Body")
    ui.press("Return")
    ui.wait("label", "18 of 20 slots free")
    tab_and_press("push button", "This Body Was Reset…")
    ui.wait("push button", "Note the Reset")
    ui.press("Return")
    ui.wait("label", "18 of 20 slots free, 2 to key in again")
    for left in ("18 of 20 slots free, 1 to key in again", "18 of 20 slots free"):
        ui.until(lambda: ui.find("push button", "/^Slot . is keyed in/") and ui.title_is("Shimbook"), "what to key in next")
        ui.until(lambda: any(ui.has_state(node, "focused") for node in ui.find_all("push button", "/^Slot . is keyed in/")),
                 "the cursor on what is next")
        ui.press("Return")
        ui.wait("label", left)
    assert [slot["state"] for slot in kit.ctl("slots", "Ash") if slot["state"] != "free"] == ["keyed", "keyed"]
    ui.ok("a body is reset and its values are ticked off, by Enter alone")


def job():
    ui.press("alt+5")
    tab_and_press("push button", "New Job…")
    ui.until(lambda: ui.title_is("New Job"), "the form")
    ui.type_text("Harvest fair")
    ui.until(lambda: ui.has_state(ui.wait("push button", "Save"), "sensitive"), "Save to become possible")
    ui.press("Return")
    tab_and_press("push button", "Paste Serials…")
    lines = ui.wait("text", "Serials")
    ui.until(lambda: ui.has_state(lines, "focused"), "the cursor in the lines")
    for serial in ("0041233", "00101", "00102"):
        ui.type_text(serial)
        ui.press("Return")
    ui.until(lambda: ui.has_state(ui.wait("push button", "Take Along"), "sensitive"), "Take Along to become possible")
    ui.press("alt+t")
    ui.until(lambda: ui.find("push button", "Leave Ash at home"), "Ash in the job")
    ui.wait("label", "Everything is ready")
    ui.ok("a job is prepared by serials, and is ready")


kit = Kit(*sys.argv[2:4], empty=True)
process = subprocess.Popen([sys.argv[1], "--register", str(kit.register)])
try:
    ui.wait("push button", "From a Table…")
    for station in (bodies, lenses, knock, reset, job):
        station()
    ui.press("ctrl+q")
    assert process.wait(20) == 0
    ui.ok("the window ends well")
except BaseException:
    ui.picture(os.path.join(os.environ.get("G_TEST_BUILDDIR", "."), "from-nothing.png"))
    ui.dump()
    raise
finally:
    process.kill()
ui.plan()
