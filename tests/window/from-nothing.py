#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A kit from nothing by the keyboard alone: from-nothing.py SHIMBOOK SHIMBOOKCTL DECIDE. Prints TAP.

Bodies and lenses come from two tables as a spreadsheet writes them, a knock is noted, a body is reset and its values are ticked off as
they are keyed in again, and a job is prepared. The window gets nothing but keys; what came of them is read by shimbookctl.
"""
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import drive as ui  # noqa: E402
import first_kit  # noqa: E402
from kit_at_hand import Kit  # noqa: E402


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


def choose_table(path):
    ui.choose_file("Choose a Table", path)
    ui.until(lambda: ui.title_is("Items from a Table"), "the preview")
    ui.until(lambda: ui.has_state(ui.wait("push button", "Store"), "sensitive"), "Store to become possible")
    ui.press("alt+s")


def bodies():
    tab_and_press("push button", "From a Table…")
    choose_table(tables[0])
    first_kit.until_bodies(kit, 4)
    ui.ok("four bodies come from a table")


def lenses():
    ui.until(lambda: ui.title_is("Shimbook"), "the window")
    tab_to("*", "/^Add/")
    ui.press("Return")
    ui.wait("menu item", "From a Table…")
    ui.press("t")
    choose_table(tables[1])
    first_kit.until_lenses(kit, 12)
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
    first_kit.until_knock(kit, "off the tripod")
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
    first_kit.until_keyed(kit, "Ash", 2)
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
tables = first_kit.write_tables(kit, 4, 12)
ui.walk_through([sys.argv[1], "--register", str(kit.register)], (bodies, lenses, knock, reset, job))
