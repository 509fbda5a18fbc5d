#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The layers hold: layers.py TOP BUILD. Prints TAP.

The build already fails on an include that a layer's dependencies do not bring; what lies in /usr/include itself
(SQLite, libjpeg) needs this second lock, and stray symbols in the archives a third.
"""
import pathlib
import re
import subprocess
import sys

TOP, BUILD = map(pathlib.Path, sys.argv[1:3])
LAYERS = ["core", "photo", "kit", "store", "report", "workspace", "ctl"]
SEES = {
    "core": set(), "photo": {"core"}, "kit": {"core"}, "store": {"core", "kit"}, "report": {"core", "kit"},
    "workspace": {"core", "photo", "kit", "store", "report"},
    "ctl": {"core", "photo", "kit", "store", "report", "workspace"},
}
LIBRARIES = {  # header, the folders that may include it
    r"gtk/|gdk/|gsk/|adwaita|graphene": {"ui"}, r"sqlite3": {"store"}, r"jpeglib|jerror": {"photo"}, r"gexiv2": {"photo"},
    r"libraw": {"photo"}, r"gsl/": {"core"}, r"cairo|pango": {"report", "ui"}, r"json-glib": {"report", "workspace", "ctl"},
    r"csv\.h": {"report"}, r"gio/": {"photo", "store", "report", "workspace", "ctl", "ui"},
    r"glib-object": {"kit", "store", "report", "workspace", "ctl", "ui"},
}
SYMBOLS = {
    r"(gtk|gdk|gsk|adw)_\w+": [], r"sqlite3_\w+": ["store"], r"jpeg_\w+": ["photo"], r"gexiv2_\w+": ["photo"],
    r"(cairo|pango)_\w+": ["report"], r"gsl_\w+": ["core"],
}
count = 0
failed = False


def report(ok, what, details=()):
    global count, failed
    count += 1
    failed |= not ok
    print(f"{'ok' if ok else 'not ok'} {count} - {what}")
    for line in details:
        print(f"#   {line}")


def includes(folder):
    for path in sorted([*folder.rglob("*.c"), *folder.rglob("*.h")]):
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            match = re.match(r'\s*#\s*include\s*[<"]([^>"]+)[>"]', line)
            if match:
                yield path, number, match[1]


owner = {}
for layer in LAYERS:
    for header in (TOP / "src" / layer).glob("*.h"):
        report_twice = owner.get(header.name)
        if report_twice:
            report(False, f"{header.name} stands in {report_twice} and in {layer}")
        owner[header.name] = layer

for layer in LAYERS + ["ui"]:
    folder = TOP / "ui" if layer == "ui" else TOP / "src" / layer
    wrong = []
    for path, number, header in includes(folder):
        where = f"{path.relative_to(TOP)}:{number}: {header}"
        if layer != "ui" and header in owner and owner[header] != layer and owner[header] not in SEES[layer]:
            wrong.append(where)
        for pattern, allowed in LIBRARIES.items():
            if re.match(pattern, header) and layer not in allowed:
                wrong.append(where)
    report(not wrong, f"{layer} includes only what it may see", wrong)

for layer in LAYERS[:-1]:
    archive = BUILD / "src" / layer / f"libshim-{layer}.a"
    names = subprocess.run(["nm", "-u", archive], capture_output=True, text=True, check=True).stdout.split()
    stray = sorted({n for n in names for pattern, allowed in SYMBOLS.items()
                    if layer not in allowed and re.fullmatch(pattern, n)})
    report(not stray, f"{archive.name} needs no stray symbols", stray)

linked = subprocess.run(["ldd", BUILD / "src" / "ctl" / "shimbookctl"], capture_output=True, text=True, check=True).stdout
stray = [line.strip() for line in linked.splitlines() if re.search(r"libgtk|libadwaita", line)]
report(not stray, "shimbookctl links no GTK", stray)

allowed_top = {"README.md", "DEVELOPERS.md", "meson.build", "meson_options.txt", "src", "ui", "data", "po", "tests",
               "help", "LICENSE"}
extra = [p.name for p in TOP.iterdir() if not p.name.startswith((".", "_build")) and p.name not in allowed_top]
report(not extra, "the top level holds only what was agreed", extra)

bare = [str(p.relative_to(TOP)) for d in ("src", "ui", "tests") for p in sorted((TOP / d).rglob("*"))
        if p.suffix in (".c", ".h", ".py", ".ui") and "SPDX-License-Identifier" not in p.read_text(encoding="utf-8")[:400]]
report(not bare, "every source file names its licence", bare)
print(f"1..{count}")
sys.exit(failed)
