#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A kit from nothing by the mouse alone: from-nothing-mouse.py SHIMBOOK SHIMBOOKCTL DECIDE FRAMES. Prints TAP.

What the walk by keyboard does, in a window of 1000 × 700, by real clicks where things are drawn; the last body and two lenses come from
photographs. Names of files and of the job and words to search for are typed, as with a mouse too. With SHIM_WALK_PICTURES=FOLDER each step is photographed.
"""
import os
import pathlib
import subprocess
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import drive as ui  # noqa: E402
import first_kit  # noqa: E402
from kit_at_hand import Kit  # noqa: E402

PICTURES = os.environ.get("SHIM_WALK_PICTURES")
SHOWN = []


def show(what):
    if PICTURES:
        SHOWN.append(what)
        ui.picture(os.path.join(PICTURES, f"{len(SHOWN):02}-{what}.png"))


def click(role, name):
    """Clicks what is seen and can be clicked."""
    node = ui.wait_seen(role, name)
    ui.until(lambda: ui.has_state(node, "sensitive"), f"“{name}” to become possible")
    ui.click(node)


def until_window(title):
    ui.until(lambda: ui.title_is(title), f"the window “{title}”")


def click_in_menu(button, item):
    click("*", button)
    ui.wait_seen("menu item", item)
    show("menu")
    click("menu item", item)


def choose_file(title, path):
    until_window(title)
    show("file-chooser")
    ui.choose_file(title, path)


def choose_line(box, words):
    """Chooses a line of a drop-down row."""
    combo = ui.wait_seen("combo box", box)
    ui.click(combo)
    ui.until(lambda: ui.popover_of(combo) is not None and ui.lines_of(combo)[1] is not None, "the list to open")
    show("list")
    ui.click(next(line for line in ui.lines_of(combo)[0] if ui.says(line, words)))
    ui.until(lambda: ui.popover_of(combo) is None and ui.says(combo, words), f"“{words}” to be chosen")


def store_table():
    until_window("Items from a Table")
    show("table")
    click("push button", "Store")
    until_window("Shimbook")


def bodies():
    ui.to_size(1000, 700)
    show("empty")
    click("push button", "From a Table…")
    choose_file("Choose a Table", tables[0])
    store_table()
    first_kit.until_bodies(kit, 3)
    show("bodies")
    ui.ok("three bodies come from a table")


def lenses():
    click_in_menu("Add", "From a Table…")
    choose_file("Choose a Table", tables[1])
    store_table()
    first_kit.until_lenses(kit, 10)
    show("lenses")
    ui.ok("ten lenses come from a table of another make")


def photograph(name, lens, serial):
    path = kit.home / name
    subprocess.run([sys.argv[4], "--width=480", "--height=320", "--no-noise", "--no-ruler", "--no-card", "--make=Orrin", "--model=O-1",
                    "--body-serial=0041233", f"--lens-model={lens}", f"--lens-serial={serial}", path], check=True, stdout=subprocess.DEVNULL)
    return path


def add_lens():
    ui.wait_seen("push button", "Add the Lens…")
    show("taken-with")
    click("push button", "Add the Lens…")
    until_window("New Lens")
    show("new-lens")
    click("push button", "Save")
    until_window("Shimbook")


def from_photographs():
    first, second = photograph("1.jpg", "Orrin 35 mm f/2.8", "00100"), photograph("2.jpg", "Orrin 50 mm f/2.8", "00101")
    click_in_menu("Add", "From Photographs…")
    choose_file("Items from Photographs", first)
    ui.wait_seen("push button", "Add the Body…")
    show("taken-with")
    click("push button", "Add the Body…")
    until_window("New Body")
    show("new-body")
    click("push button", "Save")
    add_lens()
    first_kit.until_bodies(kit, 4)
    first_kit.until_lenses(kit, 11)
    show("after-first")
    click_in_menu("Add", "From Photographs…")
    choose_file("Items from Photographs", second)
    add_lens()
    first_kit.until_lenses(kit, 12)
    show("after-second")
    ui.ok("a body and two lenses come from photographs")


def knock():
    click("*", "Bodies")
    click("label", "Birch")
    click("push button", "Note an Event…")
    until_window("Event: Birch")
    show("event")
    choose_line("What happened", "Knock or fall")
    show("event-chosen")
    click("push button", "Note")
    until_window("Shimbook")
    first_kit.until_knock(kit, None)
    show("knocked")
    ui.ok("a knock is noted")


def reset():
    """The settings are decided by another program while the window is open."""
    for lens, setting in (("Velle 50 V", 3), ("Velle 85 V", -4)):
        kit.decide("Cedar", lens, setting)
    click("label", "Slots")
    show("slots")
    click("label", "Cedar")
    ui.wait_seen("label", "3 of 5 slots free")
    show("slots-of-cedar")
    click("push button", "This Body Was Reset…")
    ui.wait_seen("push button", "Note the Reset")
    show("reset")
    click("push button", "Note the Reset")
    for left in ("3 of 5 slots free, 2 to key in again", "3 of 5 slots free, 1 to key in again"):
        ui.wait_seen("label", left)
        until_window("Shimbook")
        show("to-key-in")
        click("push button", "/^Slot . is keyed in/")
    ui.wait_seen("label", "3 of 5 slots free")
    first_kit.until_keyed(kit, "Cedar", 2)
    show("keyed-in")
    ui.ok("a body is reset and its values are ticked off")


def take_along(item):
    ui.click(ui.find_all("entry", "Search the kit")[-1])
    ui.press("ctrl+a")
    ui.type_text(item)
    found = ui.wait_seen("list", "Items found")
    line = ui.until(lambda: not ui.find("label", "Birch", found) and ui.find("label", item, found), f"only {item} to be found")
    ui.click(line)
    ui.wait_seen("label", "✓ Taken along")
    show("item-chosen")


def job():
    click("label", "Jobs")
    show("jobs")
    click("push button", "New Job…")
    until_window("New Job")
    ui.type_text("Harvest fair")
    show("new-job")
    click("push button", "Save")
    until_window("Shimbook")
    click("push button", "Choose Items…")
    until_window("Choose What to Take Along")
    show("choose-items")
    for item in ("Cedar", "Velle 50 V", "Velle 85 V"):
        take_along(item)
    click("push button", "Done")
    until_window("Shimbook")
    ui.wait("push button", "Leave Cedar at home")
    ui.wait_seen("label", "Everything is ready")
    show("job")
    ui.ok("a job is prepared, and is ready")


kit = Kit(*sys.argv[2:4], empty=True)
tables = first_kit.write_tables(kit, 3, 10)
ui.walk_through([sys.argv[1], "--register", str(kit.register)], (bodies, lenses, from_photographs, knock, reset, job))
