# SPDX-License-Identifier: GPL-3.0-or-later
"""Drives a window by the accessible names of its parts, as a person with a screen reader would, and by real keys and
clicks where GTK 4.8 offers no accessible action. Nothing here trusts that an action worked: wait for its effect."""
import os
import pathlib
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
POPOVERS = ("GtkPopover", "GtkPopoverMenu")


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


def xdotool(*words):
    return subprocess.run(["xdotool", *words], capture_output=True, text=True, check=False).stdout.split()


def extents(node):
    return node.get_component_iface().get_extents(Atspi.CoordType.WINDOW)


def size_of(window):
    """Width and height of an X window, or None when it is gone."""
    place = dict(line.split("=") for line in xdotool("getwindowgeometry", "--shell", window))
    return (int(place["WIDTH"]), int(place["HEIGHT"])) if place else None


def active_window():
    return until(lambda: xdotool("getactivewindow"), "an active window")[-1]


def ancestor(node, fitting):
    """NODE or the nearest around it that is FITTING(), or None."""
    while node is not None and not fitting(node):
        node = node.get_parent()
    return node


def popover_around(node):
    """The popover that NODE lies in, or None."""
    return ancestor(node, lambda around: around.get_name() in POPOVERS)


def x_window_of(popover):
    """A popover is a window of its own, known by its size: GTK 4.8 does not tell where it opened."""
    box = extents(popover)

    def fitting():
        return [window for window in xdotool("search", "--onlyvisible", "--name", "^Shimbook$") if size_of(window) == (box.width, box.height)]
    return until(fitting, "the window of the popover")[0]


def middle_of(node):
    """The middle of NODE: the X window that it is drawn in, and X and Y there. What is cut off by its window cannot be clicked."""
    box, popover = extents(node), popover_around(node)
    x, y = box.x + box.width // 2, box.y + box.height // 2
    if popover is not None:
        window, origin = x_window_of(popover), extents(popover)
        x, y = x - origin.x, y - origin.y
    else:
        window = active_window()
    width, height = size_of(window)
    assert 0 <= x < width and 0 <= y < height, f"“{node.get_name()}” is cut off by its window"
    return window, x, y


def is_hit(node, window):
    """Whether a click in the middle of NODE would hit it or what lies in it; None while GTK cannot say, for it only knows parts that were
    asked for once."""
    box = extents(node)
    hit = window.get_component_iface().get_accessible_at_point(box.x + box.width // 2, box.y + box.height // 2, Atspi.CoordType.WINDOW)
    if hit is None:
        return None
    return box.width > 0 and ancestor(hit, lambda around: around == node) is not None


def is_hidden_page(node, window):
    """Pages of a stack that are not on top stay in the tree, where they were."""
    return node.get_name() == "GtkStackPage" and all(is_hit(child, window) is False for child in children(node))


def walk_seen(node, window, in_popover=False):
    """What may be seen at NODE and below it in WINDOW, and whether it lies in a popover. There all is seen: it is on top of everything, and
    GTK 4.8 does not tell what lies where in it."""
    yield node, in_popover
    in_popover = in_popover or node.get_name() in POPOVERS
    for child in list(children(node)):
        if in_popover or not is_hidden_page(child, window):
            yield from walk_seen(child, window, in_popover)


def find_seen(role, name):
    """The one of that name that can be clicked; the newest window is looked through first."""
    for window in reversed([window for root in applications() for window in children(root)]):
        for node, in_popover in walk_seen(window, window):
            if fits(node, role, name) and (in_popover or is_hit(node, window)):
                return node
    return None


def wait_seen(role, name):
    return until(lambda: find_seen(role, name), f"{role} “{name}” to be seen")


def to_size(width, height):
    """Gives the active window a size on the display, in its corner."""
    window = active_window()
    xdotool("windowmove", window, "0", "0", "windowsize", window, str(width), str(height))
    until(lambda: size_of(window) == (width, height), "the window's size")


def is_at_rest(node):
    """Whether NODE does not move any more: what has just appeared is laid out anew."""
    before = extents(node)
    time.sleep(0.03)
    after = extents(node)
    return (before.x, before.y, before.width, before.height) == (after.x, after.y, after.width, after.height)


def click(node):
    """A real click in the middle of NODE."""
    until(lambda: is_at_rest(node), f"“{node.get_name()}” to come to rest")
    window, x, y = middle_of(node)
    subprocess.run(["xdotool", "mousemove", "--sync", "--window", window, str(x), str(y), "click", "1"], check=True)


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


def choose_file(title, path):
    """Types the name of a file into the open file chooser of that TITLE; GTK 4.8 takes a typed name by Enter only."""
    until(lambda: title_is(title), f"the file chooser “{title}”")
    type_text("/")  # opens the line for a name
    line = wait("text", "GtkFileChooserEntry")
    until(lambda: text(line) == "/", "the line for the name")
    type_text(str(path)[1:])

    def is_taken():
        """Enter may have gone into completing the name; then it is pressed again."""
        if title_is(title):
            press("Return")
        return settled(lambda: not title_is(title))
    until(is_taken, f"“{title}” to close")


def picture(path):
    """Photographs the whole display."""
    subprocess.run(["import", "-silent", "-window", "root", path], check=True)


def quit_by_key():
    press("ctrl+q")


def walk_through(command, stations, leave=quit_by_key):
    """Starts the program and goes through the stations of a test; a picture and the accessible tree say where it failed."""
    process = subprocess.Popen(command)
    try:
        wait("frame", "Shimbook")
        for station in stations:
            station()
        leave()
        assert process.wait(PATIENCE_S) == 0
        ok("the window ends well")
    except BaseException:
        picture(os.path.join(os.environ.get("G_TEST_BUILDDIR", "."), pathlib.Path(sys.argv[0]).stem + ".png"))
        dump()
        raise
    finally:
        process.kill()
    plan()


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
