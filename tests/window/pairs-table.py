#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The place Pairs by keyboard alone: pairs-table.py SHIMBOOK SHIMBOOKCTL DECIDE. Prints TAP.

What the cursor stands on is read as a screen reader would read it and held against what shimbookctl stored; a pair is opened and left
again; a change made by another program arrives; the list sorts and filters.
"""
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import drive as ui  # noqa: E402
from kit_at_hand import Kit  # noqa: E402


def bare(text):
    """Without the signs that keep a number in one direction, and with plain minus and blanks."""
    for sign in "\u2066\u2067\u2068\u2069\u200e\u200f":
        text = text.replace(sign, "")
    return text.replace("\u2212", "-").replace("\u00a0", " ")


def cell():
    return bare(ui.find("*", "Lenses by bodies").get_description() or "")


def wait_cell(start, *parts):
    ui.until(lambda: cell().startswith(start) and all(part in cell() for part in parts), f"cell “{start}” with {parts}")


def table():
    ui.wait("*", "Lenses by bodies")
    ui.press("alt+2")
    ui.until(lambda: cell(), "a cell")
    ui.click(ui.find("*", "Lenses by bodies"))
    ui.press("ctrl+Home")
    wait_cell("Heron on Ash:", "setting +3")
    ui.press("Right")
    wait_cell("Heron on Birch:", "setting -4", "another copy of this model")
    ui.press("Down")
    wait_cell("Heron again on Birch:", "setting +6", "another copy of this model")
    ui.press("End")
    wait_cell("Heron again on Cedar:", "does not fit")
    ui.press("Page_Down")
    wait_cell("Ibis on Cedar:", "does not fit")
    ui.press("Home")
    wait_cell("Ibis on Ash:")
    assert "setting" not in cell(), cell()
    ui.ok("arrows, Home, End and Page move a cursor; each cell says setting, state and conflict")


def other_program():
    kit.decide("Ash", "Ibis", -7)
    wait_cell("Ibis on Ash:", "setting -7")
    ui.ok("a setting decided by shimbookctl meanwhile appears")


def misfit():
    ui.press("End", "Return")
    wait_cell("Ibis on Cedar:", "does not fit")
    pairs = kit.ctl("pairs")
    assert all(pair["body"] != "Cedar" for pair in pairs), pairs
    ui.ok("what does not fit cannot be opened")


def open_pair():
    ui.press("ctrl+Home", "Return")
    ui.until(lambda: ui.find("push button", "New Test"), "the page of the pair")
    ui.until(lambda: any("+3" in bare(node.get_name() or "") for node in ui.find_all("label", "/3/")), "its setting")
    ui.act(ui.wait("push button", "Back"))
    ui.until(lambda: ui.has_state(ui.find("*", "Lenses by bodies"), "focused"), "the table to have the focus again")
    ui.press("Right")
    wait_cell("Heron on Birch:")
    ui.ok("Enter opens the pair, Back leads to the same cell")


def listed():
    return [bare(node.get_name() or "") for node in ui.find_all("label", "/ on (Ash|Birch|Cedar)$/")]


def as_list():
    ui.act(ui.wait("*", "List"))
    ui.until(lambda: len(listed()) == 4, "four pairs in the list")
    ui.ok("the same pairs stand in a list")


def filters():
    ui.click(ui.find("*", "Search lenses"))
    ui.type_text("again")
    ui.until(lambda: listed() == ["Heron again on Birch"], "only the lens that was typed")
    ui.press("ctrl+a", "BackSpace")
    ui.until(lambda: len(listed()) == 4, "all four again")
    ui.click(ui.find("*", "Search bodies"))
    ui.type_text("birch")
    ui.until(lambda: sorted(listed()) == ["Heron again on Birch", "Heron on Birch"], "only the body that was typed")
    ui.press("Tab")
    ui.choose(ui.wait("combo box", "State"), "Untested")
    ui.until(lambda: ui.find("push button", "Show All Pairs"), "no pair of this body is untested")
    ui.act(ui.find("push button", "Show All Pairs"))
    ui.until(lambda: len(listed()) == 4, "nothing left out")
    ui.ok("the list is narrowed down by lens, body and state, and widened again")


def kit_by_key():
    ui.press("alt+1", "Return")
    ui.until(lambda: ui.find("push button", "Add a Picture…"), "the page of the first body")
    body = kit.ctl("list", "body")[0]["label"]
    assert any(node.get_name() == body for node in ui.find_all("label", f"/^{body}$/")), body
    kit.ctl("change", "body", body, "picture=/nowhere/gone.jpg")
    ui.until(lambda: ui.find_all("label", "/gone.jpg/"), "word that the picture is gone")
    ui.act(ui.wait("push button", "Take the Picture Off"))
    ui.until(lambda: kit.ctl("show", "body", body)["picture"] is None, "the picture to be taken off")
    ui.ok("Kit opens its first item by key; its picture is taken off")


def untested():
    return next((pair for pair in kit.ctl("pairs") if (pair["body"], pair["lens"]) == ("Ash", "Heron again")), None)


def choose_of_setting(key):
    ui.press("alt+s")
    ui.wait("menu item", "Write a Setting Down…")
    ui.press(key)


def by_hand():
    """A pair that nobody tested: its setting stands in the body already; then it turns out that nobody uses it."""
    ui.press("alt+2")
    ui.act(ui.wait("*", "Table"))
    ui.until(lambda: ui.has_state(ui.find("*", "Lenses by bodies"), "focused") or ui.press("Tab"), "the table to have the focus")
    ui.press("ctrl+Home", "Down")
    wait_cell("Heron again on Ash:")
    ui.press("Return")
    ui.until(lambda: ui.find_all("label", "Untested"), "the page of the untested pair")
    choose_of_setting("w")
    spin = ui.wait("spin button", "Setting")
    ui.until(lambda: ui.has_state(spin, "focused") or any(ui.has_state(node, "focused") for node in ui.walk(spin)), "the cursor in the setting")
    ui.press("ctrl+a", "minus", "5", "alt+w")
    ui.until(lambda: untested() and (untested()["setting"], untested()["slot"]) == (-5, 3), "the setting, and its slot")
    choose_of_setting("n")
    ui.until(lambda: untested()["state"] == "not-needed", "the pair to be not needed")
    choose_of_setting("d")
    ui.until(lambda: untested()["setting"] is None, "the setting to be withdrawn")
    ui.ok("a setting is written down by hand and withdrawn, a pair is marked as not needed")


kit = Kit(*sys.argv[2:4])
kit.decide("Ash", "Heron", 3)
kit.decide("Birch", "Heron", -4)
kit.decide("Birch", "Heron again", 6)
ui.walk_through([sys.argv[1], "--register", str(kit.register)], (table, other_program, misfit, open_pair, as_list, filters, kit_by_key, by_hand))
