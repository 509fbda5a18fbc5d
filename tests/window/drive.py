# SPDX-License-Identifier: GPL-3.0-or-later
"""Drives a window by the accessible names of its parts, as a person with a screen reader would, and by real keys and
clicks where GTK 4.8 offers no accessible action. Nothing here trusts that an action worked: wait for its effect."""
import re
import subprocess
import sys
import time
import warnings

import gi

warnings.simplefilter("ignore")
gi.require_version("Atspi", "2.0")
from gi.repository import Atspi, GLib  # noqa: E402

APPLICATION = None
CHECKS = []
PATIENCE_S = 20.0


def ok(what, good=True):
    """One line of TAP. Returns its number."""
    CHECKS.append(what)
    print(f"{'ok' if good else 'not ok'} {len(CHECKS)} - {what}", flush=True)
    return len(CHECKS)


def plan():
    print(f"1..{len(CHECKS)}")


def children(node):
    for i in range(node.get_child_count()):
        try:
            child = node.get_child_at_index(i)
        except GLib.Error:
            continue
        if child is not None:
            yield child


def applications():
    return [a for a in children(Atspi.get_desktop(0)) if APPLICATION is None or a.get_name() == APPLICATION]


def walk(node):
    """NODE and all below it. The children are asked for at once, before any of them is walked: GTK 4.8 dies when it is asked
    for a window by a number that was right before a dialog closed."""
    yield node
    try:
        for child in list(children(node)):
            yield from walk(child)
    except GLib.Error:
        pass


def fits(node, role, name):
    """NAME is a whole name or, between slashes, a pattern. Mnemonics and doubled names of text buttons are undone."""
    try:
        if role != "*" and node.get_role_name() != role:
            return False
        own = (node.get_name() or "").replace("_", "")
    except GLib.Error:
        return False
    if len(name) > 1 and name[0] == name[-1] == "/":
        return re.search(name[1:-1], own) is not None
    return own in (name, f"{name} {name}")


def find(role, name, within=None):
    roots = [within] if within is not None else applications()
    for root in roots:
        for node in walk(root):
            if fits(node, role, name):
                return node
    return None


def find_all(role, name):
    return [node for root in applications() for node in walk(root) if fits(node, role, name)]


def until(condition, what, patience_s=None):
    """Waits for CONDITION() to be true; ends the test with WHAT otherwise."""
    end = time.monotonic() + (patience_s or PATIENCE_S)
    pause_s = 0.03
    while True:
        try:
            value = condition()
        except GLib.Error:
            value = None
        if value:
            return value
        if time.monotonic() > end:
            raise AssertionError(f"waited in vain: {what}")
        time.sleep(pause_s)  # looking costs the window's own time: the longer something takes, the less often it is looked for
        pause_s = min(1.5 * pause_s, 0.2)


def wait(role, name, patience_s=None):
    return until(lambda: find(role, name), f"{role} “{name}”", patience_s)


def text(node):
    part = node.get_text_iface()
    return Atspi.Text.get_text(part, 0, Atspi.Text.get_character_count(part)) if part else None


def set_text(node, value):
    part = node.get_editable_text_iface()
    if part is None:  # an entry's text lies in its child
        part = next(c.get_editable_text_iface() for c in walk(node) if c.get_editable_text_iface() is not None)
    assert Atspi.EditableText.set_text_contents(part, value)


def set_value(node, value):
    assert Atspi.Value.set_current_value(node.get_value_iface(), float(value))


def has_state(node, state):
    return node.get_state_set().contains(getattr(Atspi.StateType, state.upper()))


def click(node):
    """A real click in the middle of NODE."""
    box = node.get_component_iface().get_extents(Atspi.CoordType.WINDOW)
    window = until(lambda: subprocess.run(["xdotool", "getactivewindow"], capture_output=True, text=True).stdout.split(),
                   "an active window")[-1]
    shell = subprocess.run(["xdotool", "getwindowgeometry", "--shell", window], capture_output=True, text=True).stdout
    place = dict(line.split("=") for line in shell.split())
    x, y = int(place["X"]) + box.x + box.width // 2, int(place["Y"]) + box.y + box.height // 2
    subprocess.run(["xdotool", "mousemove", "--sync", str(x), str(y), "click", "1"], check=True)


def title_is(title):
    """Whether the active window has this title."""
    done = subprocess.run(["xdotool", "getactivewindow", "getwindowname"], capture_output=True, text=True, check=False)
    return done.stdout.strip() == title


def act(node):
    """Activates NODE by its accessible action where it (or the toggle inside it) has one, else by a real click."""
    for candidate in [node, *children(node)]:
        action = candidate.get_action_iface()
        if action is not None and Atspi.Action.get_n_actions(action) > 0:
            return Atspi.Action.do_action(action, 0)
    return click(node)


def press(*keys):
    subprocess.run(["xdotool", "key", "--clearmodifiers", *keys], check=True)


def type_text(value):
    subprocess.run(["xdotool", "type", "--delay", "5", value], check=True)


def settled(condition, patience_s=1.0):
    """Whether CONDITION() comes true within a short while: for keys that may have to be pressed again."""
    end = time.monotonic() + patience_s
    while not condition():
        if time.monotonic() > end:
            return False
        time.sleep(0.02)
    return True


def popover_of(box):
    return next((node for node in walk(box) if node.get_name() == "GtkPopover"), None)


def lines_of(box):
    """The lines of the list that the drop-down BOX has opened, and the number of the one that has the cursor, or None."""
    popover = popover_of(box)
    lines = [node for node in walk(popover) if node.get_role_name() == "list item"] if popover is not None else []
    return lines, next((i for i, line in enumerate(lines) if has_state(line, "focused")), None)


def says(node, words):
    return any(fits(part, "label", words) for part in walk(node))


def choose(box, words, clicked=False):
    """Chooses the line of these WORDS in the drop-down BOX, which has the cursor (or is clicked first), by keys. Each waits for what
    the one before has done."""
    if clicked:
        click(box)
    else:
        press("space")
    until(lambda: lines_of(box)[1] is not None, "the list to open")
    wanted = next(i for i, line in enumerate(lines_of(box)[0]) if says(line, words))

    def on_the_line():
        at = lines_of(box)[1]
        if at not in (None, wanted):
            press("Down" if at < wanted else "Up")
            settled(lambda: lines_of(box)[1] != at)
        return lines_of(box)[1] == wanted
    until(on_the_line, f"the cursor on “{words}”")
    press("Return")
    until(lambda: popover_of(box) is None and says(box, words), f"“{words}” to be chosen")


def picture(path):
    """Photographs the whole display."""
    subprocess.run(["import", "-silent", "-window", "root", path], check=True)


def dump(out=sys.stderr):
    """The accessible tree, for finding out why a test failed."""
    for root in applications():
        stack = [(root, 0)]
        while stack:
            node, depth = stack.pop()
            try:
                role, name = node.get_role_name(), node.get_name() or ""
                if name or role not in ("panel", "filler"):
                    print("  " * depth + f"{role} “{name}”", file=out)
                stack.extend((child, depth + 1) for child in reversed(list(children(node))))
            except GLib.Error:
                pass
