#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""po/POTFILES lists every file with words for people, and no other: potfiles.py TOP. Prints TAP.

With --write it writes the list instead.
"""
import pathlib
import re
import sys

TOP = pathlib.Path(sys.argv[1])
LIST = TOP / "po" / "POTFILES"
HEAD = "# SPDX-License-Identifier: GPL-3.0-or-later\n# Written by tests/potfiles.py TOP --write; the test of that name says when it is out of date.\n"
WORDS = {
    ".c": r'\b(?:_|N_|C_|NC_|ngettext|g_dngettext|g_dpgettext2) \(\s*"',
    ".h": r'\b(?:N_|C_|NC_) \(\s*"',
    ".ui": r'translatable="yes"',
    ".in": r"(?m)^(?:Name|Comment|Keywords)=|<summary>",
}


def has_words(path):
    pattern = WORDS.get(path.suffix)
    return pattern is not None and re.search(pattern, path.read_text(encoding="utf-8")) is not None


wanted = sorted(str(path.relative_to(TOP)) for folder in ("src", "ui", "data") for path in (TOP / folder).rglob("*")
                if path.is_file() and not path.name.endswith(".service.in") and has_words(path))
if "--write" in sys.argv:
    LIST.write_text(HEAD + "".join(name + "\n" for name in wanted), encoding="utf-8")
    sys.exit(0)

listed = [line for line in LIST.read_text(encoding="utf-8").split("\n") if line and not line.startswith("#")]
failed = False
for number, (what, names) in enumerate((("lists every file with words for people", sorted(set(wanted) - set(listed))),
                                        ("lists nothing else", sorted(set(listed) - set(wanted)))), 1):
    failed |= bool(names)
    print(f"{'not ok' if names else 'ok'} {number} - po/POTFILES {what}")
    if names:
        print(f"# {__file__} {TOP} --write mends it")
    for name in names:
        print(f"#   {name}")
print("1..2")
sys.exit(failed)
