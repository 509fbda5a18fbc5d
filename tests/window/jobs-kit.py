#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The place Jobs: jobs-kit.py SHIMBOOK SHIMBOOKCTL DECIDE. Prints TAP.

A job is made, items are taken along by serials and by search, what is not ready is listed, a value is keyed in from there, and the
kit sheet is saved; all of it is held against what shimbookctl reads from the register, and the sheet is read by Python's own csv.
"""
import csv
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import drive as ui  # noqa: E402
from kit_at_hand import Kit  # noqa: E402


def ready():
    return [line["sentence"] for line in kit.ctl("ready", "Harvest fair")]


def new_job():
    ui.press("alt+5")
    ui.act(ui.wait("push button", "New Job…"))
    ui.until(lambda: ui.title_is("New Job"), "the form")
    save = ui.wait("push button", "Save")
    ui.type_text("Harvest fair")
    ui.until(lambda: ui.has_state(save, "sensitive"), "Save to become possible")
    ui.press("Tab")
    ui.type_text("4 Dec")
    ui.until(lambda: not ui.has_state(save, "sensitive"), "the form to refuse the date")
    ui.press("Escape")
    ui.wait("dialog", "Leave Without Storing?")
    ui.press("Escape")
    ui.until(lambda: ui.title_is("New Job"), "the form to be there still")
    ui.press("ctrl+a")
    ui.type_text("2026-12-04")
    ui.until(lambda: ui.has_state(save, "sensitive"), "Save to become possible again")
    ui.press("Return")
    ui.until(lambda: [job for job in kit.ctl("list", "job") if job["name"] == "Harvest fair"], "the job in the register")
    ui.until(lambda: ui.find("push button", "Paste Serials…"), "the page of the job")
    ui.ok("a job is made by keyboard alone; what was filled in is not lost by Escape")


def by_serials():
    ui.act(ui.wait("push button", "Paste Serials…"))
    lines = ui.wait("text", "Serials")
    ui.set_text(lines, "0041233\nQ-8001\nQ-9999\n")
    take = ui.wait("push button", "Take Along")
    ui.until(lambda: ui.has_state(take, "sensitive"), "Take Along to become possible")
    ui.act(take)
    ui.until(lambda: ui.find("*", "/Q-9999/"), "the serial that was not found")
    ui.press("Escape")
    ui.until(lambda: ui.find("push button", "Leave Ash at home") and ui.find("push button", "Leave Heron at home"), "the items")
    ui.ok("items are taken along by serials, what is not found is named")


def by_search():
    ui.press("alt+i")
    ui.until(lambda: ui.title_is("Choose What to Take Along"), "the search")
    ui.type_text("ibis")
    found = ui.wait("list", "Items found")
    ui.until(lambda: ui.find("label", "Ibis", found) and not ui.find("label", "Birch", found), "only Ibis to be found")
    ui.press("Return")
    ui.until(lambda: any("Ibis" in sentence for sentence in ready()), "Ibis in the job")
    ui.press("Escape")
    ui.until(lambda: not ui.title_is("Choose What to Take Along"), "the search to close")
    ui.until(lambda: ui.find("push button", "Leave Ibis at home"), "Ibis on the page")
    ui.ok("an item is taken along by search, by keyboard alone")


def by_another_job():
    ui.press("alt+j")
    dialog = ui.wait("dialog", "Copy a Job’s Kit")
    ui.until(lambda: ui.find("label", "None yet", dialog), "no job to be offered, this one least of all")
    ui.type_text("fair")
    ui.until(lambda: ui.text(ui.find("entry", "Search", dialog)) == "fair", "the words to be there")
    ui.press("Escape")
    ui.until(lambda: ui.text(ui.find("entry", "Search", dialog)) == "", "Escape to take the words back")
    ui.press("Escape")
    ui.until(lambda: not ui.find("dialog", "Copy a Job’s Kit"), "Escape to leave the question")
    ui.ok("a job is not offered as its own source, Escape leaves the search, then the question")


def not_ready():
    for sentence in ready():
        ui.until(lambda: ui.find("*", sentence) or ui.find("label", sentence), sentence)
    assert len(ready()) == 2, ready()
    ui.ok("the page lists what shimbookctl says is not ready")


def key_in():
    ui.act(ui.wait("push button", "/^Key In…/"))
    ui.act(ui.wait("push button", "Keyed In"))
    ui.until(lambda: [slot for slot in kit.ctl("slots", "Ash") if slot["lens"] == "Heron"], "Heron in a slot")
    ui.until(lambda: not ui.find("push button", "/^Key In…/"), "the line to go")
    ui.ok("a value is keyed in from the list")


def leave_out():
    before = ready()
    ui.act(ui.wait("push button", "Not Needed"))
    ui.until(lambda: len(ready()) == len(before) - 1, "one line less")
    ui.until(lambda: not ui.find("push button", "Not Needed"), "the line to go")
    ui.ok("a pair that nobody uses is marked as not needed from the list")


def slots_of_heron():
    return [slot for slot in kit.ctl("slots", "Ash") if slot["lens"] == "Heron"]


def history():
    ui.press("ctrl+h")
    ui.until(lambda: ui.title_is("History"), "the history")
    ui.act(ui.until(lambda: ui.find("push button", "Undo", ui.find("frame", "History")), "the newest change"))
    ui.until(lambda: not slots_of_heron(), "the keying in to be undone")
    ui.act(ui.until(lambda: ui.find("push button", "Do Again", ui.find("frame", "History")), "the way back"))
    ui.until(slots_of_heron, "Heron in its slot again")
    ui.press("Escape")
    ui.until(lambda: ui.title_is("Shimbook"), "the history to close")
    ui.ok("the history undoes a change and does it again")


def sheet():
    path = kit.home / "fair.csv"
    ui.act(ui.wait("*", "Kit Sheet"))
    ui.act(ui.wait("menu item", "Table (CSV)…"))
    ui.until(lambda: ui.title_is("Save the Kit Sheet"), "the file chooser")
    ui.press("ctrl+a")
    ui.type_text(str(path))
    ui.press("Return")
    ui.until(lambda: path.exists() and path.stat().st_size > 0, "the kit sheet on disk")
    with open(path, newline="", encoding="utf-8-sig") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    assert {"0041233", "Q-8001", "Q-8003"} <= set(cells) and "0041777" not in cells, cells
    ui.ok("the kit sheet is saved, with the serials of the job and no others")


def find_anything():
    ui.press("alt+1", "ctrl+k")
    ui.until(lambda: ui.title_is("Find Anything"), "the search over everything")
    ui.type_text("heron ash")
    ui.wait("list item", "/^Heron on Ash, Pairs/")
    ui.press("ctrl+a")
    ui.type_text("harv")
    ui.wait("list item", "/^Harvest fair, Jobs/")
    ui.press("Return")
    ui.until(lambda: ui.find("push button", "Paste Serials…"), "the page of the job")
    ui.ok("a pair and a job are found from another place, Enter opens the first")


def find_archived():
    """What is archived is in no list until it is asked for."""
    kit.ctl("archive", "lens", "Heron again")
    ui.press("ctrl+k")
    ui.until(lambda: ui.title_is("Find Anything"), "the search over everything")
    ui.type_text("q50")
    second = ui.wait("list item", "/^Heron again, .*archived/")
    ui.press("Down")
    ui.until(lambda: ui.has_state(second, "focused"), "the second to have the cursor")
    ui.press("Return")
    ui.until(lambda: ui.title_is("Shimbook"), "the window")
    ui.act(ui.wait("push button", "Bring Back"))
    ui.until(lambda: any(lens["label"] == "Heron again" for lens in kit.ctl("list", "lens")), "Heron again to be back")
    ui.ok("an archived lens is found, opened by the arrow and Enter, and brought back")


kit = Kit(*sys.argv[2:4])
kit.decide("Ash", "Heron", 3, "none")
ui.walk_through([sys.argv[1], "--register", str(kit.register)], (
    new_job, by_serials, by_search, by_another_job, not_ready, find_archived, find_anything, key_in, history, leave_out,
    sheet))
