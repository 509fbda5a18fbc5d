# SPDX-License-Identifier: GPL-3.0-or-later
"""The kit on the command line: fields, items, tables."""
import csv
import os

from shimbook_ctl import BODY, LENS, CtlCase, main


class Items(CtlCase):
    def test_add_change_show(self):
        body = self.json("add", "body", *BODY)
        self.assertEqual(body["kind"], "body")
        self.assertEqual(body["serial"], "0070310")
        self.assertIsNone(body["holder"])
        changed = self.json("change", "body", "0070310", "holder=Priya", "worth=1450,5", "currency=GBP")
        self.assertEqual((changed["holder"], changed["worth"], changed["id"]), ("Priya", 1450.5, body["id"]))
        for word in ("Orrin Three", "0070310", body["id"]):
            self.assertEqual(self.json("show", "body", word), changed)
        text = self.ctl("show", "body", "Orrin Three").out
        self.assertIn("Priya", text)
        self.assertTrue(text.endswith("\n"))

    def test_name_and_label_are_one_word(self):
        lens = self.json("add", "lens", "name=Velle 85", "serial=0099", "mount=F", "focal_min_mm=85", "aperture_wide=1.8")
        self.assertEqual(lens["label"], "Velle 85")
        self.assertEqual(self.json("add", "job", "label=Sports day")["name"], "Sports day")
        self.assertIn("f/1.8\n", self.ctl("show", "lens", "Velle 85").out)

    def test_register_before_and_after(self):
        for words in (["--register", self.register, "add", "lens"], ["add", "--register", self.register, "lens"],
                      ["add", "lens", "--register", self.register]):
            answer = self.run_ctl(*words, *LENS[:3], f"serial={len(words)}{words[0]}", *LENS[4:])
            self.assertEqual(answer.status, 0, answer.err)
        self.assertEqual(len(self.json("list", "lens")), 3)

    def test_list_search_archive(self):
        self.add_kit()
        self.ctl("add", "lens", "label=Velle 85", "serial=0099", "mount=F", "focal_min_mm=85")
        self.assertEqual([r["label"] for r in self.json("list", "lens")], ["Velle 50", "Velle 85"])
        self.assertEqual([r["label"] for r in self.json("list", "lens", "--search", "0099")], ["Velle 85"])
        self.ctl("archive", "lens", "Velle 85")
        self.assertEqual(len(self.json("list", "lens")), 1)
        self.assertEqual(len(self.json("list", "lens", "--all")), 2)
        self.ctl("restore", "lens", "0099")
        self.assertEqual(len(self.json("list", "lens")), 2)
        self.assertEqual(self.ctl("list", "body").out.split("\t")[:2], ["Orrin Three", "0070310"])

    def test_every_kind_lists_its_fields(self):
        for kind in ("body", "lens", "converter", "adapter", "mount", "job", "event"):
            names = self.json("fields", kind)
            self.assertGreater(len(names), 2)
            text = self.ctl("fields", kind).out
            for name in names:
                self.assertIn(name, text)

    def test_mistakes_are_usage(self):
        self.add_kit()
        for words in (["add", "cup", "label=x"], ["add", "lens"], ["add", "lens", "colour=red"], ["add", "lens", "label"],
                      ["list"], ["list", "lens", "body"], ["show", "lens"], ["list", "--nonsense"], ["dance"]):
            self.ctl(*words, status=2)
        self.assertIn("Usage: shimbookctl show KIND ITEM", self.ctl("show", "lens", status=2).err)
        self.assertIn("shimbookctl show [OPTION", self.ctl("show", "--help").out)

    def test_hostile_tables(self):
        """Tables that a broken program or a mischievous person might bring: refused in words, and nothing of them stored."""
        head = b"label,serial,mount,focal_min_mm,worth,currency\n"
        path = os.path.join(self.folder, "hostile.csv")
        for what, rows in {"a NUL": b"Vel\0le,1,F,50,1,GBP\n", "a cell of megabytes": b'"' + b"x" * 2_000_000 + b'",1,F,50,1,GBP\n',
                           "numbers out of this world": b"V,1,F,1e308,1,GBP\n", "no number at all": b"V,1,F,nan,1,GBP\n",
                           "an infinite one": b"V,1,F,50,1e999,GBP\n", "an open quotation mark": b'"V,1,F,50,1,GBP\n' * 3,
                           "a row of commas": b"," * 100_000 + b"\n", "another encoding": b"V\xe9lo,1,F,50,1,GBP\n"}.items():
            with open(path, "wb") as file:
                file.write(head + rows)
            with self.subTest(what):
                self.ctl("import", "lens", path, status=1)
        self.assertEqual(self.json("list", "lens"), [])

    def test_refusals_store_nothing(self):
        self.add_kit()
        for words in (["add", "lens", "label=x", "mount=F", "focal_min_mm=wide"],
                      ["add", "lens", "label=x", "mount=F", "focal_min_mm=9999"],
                      ["add", "lens", "label=x", "mount=no such mount", "focal_min_mm=50"],
                      ["add", "lens", "label=x"], ["change", "lens", "nobody", "label=y"], ["show", "lens", "nobody"]):
            self.ctl(*words, status=1)
        self.assertEqual(len(self.json("list", "lens", "--all")), 1)

    def test_two_with_one_name(self):
        self.ctl("add", "lens", *LENS)
        self.ctl("add", "lens", *[w if not w.startswith("serial") else "serial=V5-2" for w in LENS])
        answer = self.ctl("show", "lens", "Velle 50", status=1)
        self.assertIn("serial", answer.err)
        self.assertEqual(self.json("show", "lens", "V5-2")["serial"], "V5-2")


class Tables(CtlCase):
    HEAD = "label,serial,mount,focal_min_mm,aperture_wide\n"

    def test_import_all_or_nothing(self):
        table = self.write("lenses.csv", self.HEAD + "Velle 50,007,F,50,1.8\nVelle 85,008,F,wide,1.4\nVelle 24,009,F,24,2\n,010,F,35,2\n")
        answer = self.ctl("import", "lens", table, status=1)
        self.assertIn("lenses.csv:3:", answer.err)
        self.assertIn("lenses.csv:5:", answer.err)
        self.assertEqual(self.json("list", "lens"), [])
        outcome = self.json("import", "lens", table, status=1)
        self.assertEqual([p["line"] for p in outcome["problems"]], [3, 5])
        self.assertFalse(outcome["stored"])

    def test_import_dry_run_then_update(self):
        table = self.write("lenses.csv", "\ufeff" + self.HEAD.replace(",", ";") + "Velle 50;007;F;50;1,8\nVelle 85;008;F;85;1,4\n")
        outcome = self.json("import", "--dry-run", "lens", table)
        self.assertEqual((outcome["added"], outcome["stored"]), (2, False))
        self.assertEqual(self.json("list", "lens"), [])
        self.assertEqual(self.json("import", "lens", table)["added"], 2)
        self.assertEqual([r["serial"] for r in self.json("list", "lens")], ["007", "008"])
        self.assertEqual(self.json("show", "lens", "007")["aperture_wide"], 1.8)
        # Known serials are a mistake unless told otherwise.
        self.ctl("import", "lens", table, status=1)
        table = self.write("lenses.csv", self.HEAD + "Velle 50,007,F,50,2\nVelle 24,009,F,24,2\n")
        outcome = self.json("import", "--update", "lens", table)
        self.assertEqual((outcome["added"], outcome["changed"]), (1, 1))
        self.assertEqual(self.json("show", "lens", "007")["aperture_wide"], 2)

    def test_export_imports_again(self):
        self.add_kit()
        self.ctl("change", "lens", "Velle 50", "note=two words, a comma", "worth=190")
        table = self.path("out.csv")
        self.ctl("export", "lens", table)
        with open(table, encoding="utf-8", newline="") as file:
            row = list(csv.DictReader(file))[0]
        self.assertEqual((row["serial"], row["note"]), ("V5-11873", "two words, a comma"))
        before = self.json("show", "lens", "Velle 50")
        self.register = self.path("other.shimbook")
        self.ctl("import", "lens", table)
        after = self.json("show", "lens", "Velle 50")
        for record in (before, after):
            del record["id"]
        self.assertEqual(after, before)

    def test_bad_tables(self):
        for data in (b"", b"\x00\x01\x02", b"label\n\xff\xfe\n", b'label,serial\n"open,1\n', b"label,serial\n", b"colour\nred\n"):
            self.ctl("import", "lens", self.write("bad.csv", data), status=1)
        self.ctl("import", "lens", self.path("missing.csv"), status=1)
        self.ctl("import", "lens", self.folder, status=1)
        self.ctl("export", "lens", self.path("no-folder/out.csv"), status=1)
        self.assertEqual(self.json("list", "lens"), [])

    def test_pairs_narrowed_and_sorted(self):
        self.add_kit()
        self.ctl("add", "lens", "label=Velle 85", "serial=0099", "mount=F", "focal_min_mm=85")
        self.ctl("add", "body", "label=Birch", "mount=F", "range_min=-10", "range_max=10", "slot_count=3")
        self.ctl("decide", "--setting", "3", "Orrin Three", "Velle 85")
        self.ctl("decide", "--setting", "2", "Orrin Three", "Velle 50")
        self.ctl("decide", "--setting", "1", "Birch", "Velle 85")
        self.ctl("event", "--what", "knock", "body", "Birch")
        self.ctl("add", "job", "name=Sports day")
        self.ctl("take", "Sports day", "Birch", "Velle 85")

        def listed(*words):
            return [(pair["body"], pair["lens"]) for pair in self.json("pairs", *words)]

        three = [("Orrin Three", "Velle 50"), ("Birch", "Velle 85"), ("Orrin Three", "Velle 85")]
        self.assertEqual(listed("--sort", "lens"), three)
        self.assertEqual(listed("--sort", "body"), [three[1], three[0], three[2]])
        self.assertEqual(listed("--state", "due"), [three[1]])
        self.assertEqual(self.json("pairs", "--state", "due")[0]["reasons"], ["body-event"])
        # Somebody has looked again since the knock: the same setting is said anew, and stored.
        again, once_more = (self.json("decide", "--setting", "1", "Birch", "Velle 85") for _ in range(2))
        self.assertNotEqual(again["id"], once_more["id"])
        self.ctl("undo")
        self.ctl("undo")
        self.assertEqual(listed("--state", "contradicted"), [])
        self.assertEqual(listed("--job", "Sports day"), [three[1]])
        self.assertEqual(sorted(listed("--mount", "F")), sorted(three))
        self.assertEqual(listed("--mount", "K"), [])
        for words in (["--state", "happy"], ["--sort", "colour"]):
            self.ctl("pairs", *words, status=2)


class Copies(CtlCase):
    def test_two_copies_of_one_model(self):
        """Pairs and slots say that the body takes one for the other."""
        self.ctl("add", "body", *BODY[:-1], "tells_lenses_by=model")
        for serial, setting in (("1", 3), ("2", -4)):
            self.ctl("add", "lens", f"label=Velle 50 {serial}", f"serial={serial}", *LENS[1:3], *LENS[4:])
            self.ctl("decide", "--setting", setting, "--keyed-in", "Orrin Three", f"Velle 50 {serial}")
        self.assertEqual([pair["conflict"] for pair in self.json("pairs")], [True, True])
        self.assertEqual(self.ctl("pairs").out.count("another copy"), 2)
        self.assertEqual(self.ctl("slots", "Orrin Three").out.count("another copy"), 2)
        self.assertEqual([slot["conflict"] for slot in self.json("slots", "Orrin Three")], [True, True, False])


class Jobs(CtlCase):
    def test_choosing_the_kit(self):
        self.add_kit()
        for name in ("Prize giving", "Sports day"):
            self.ctl("add", "job", f"name={name}")
        outcome = self.json("scan", "Prize giving", self.write("serials.txt", "0070310\n\n  V5-11873 \n0070310\nno-such-serial\n"), status=1)
        self.assertEqual((outcome["added"], outcome["not_found"], outcome["ambiguous"]), (2, ["no-such-serial"], []))
        self.assertEqual(self.json("copy-kit", "Prize giving", "Sports day")["added"], 2)
        self.ctl("leave", "Sports day", "Velle 50")
        self.assertEqual([i["name"] for i in self.json("sheet", "--job", "Sports day")["items"]], ["Orrin Three"])
        self.ctl("scan", "Prize giving", self.path("missing.txt"), status=1)

    def test_sheet_in_all_forms(self):
        self.add_kit()
        self.ctl("add", "job", "name=Prize giving", "on_date=2026-12-11")
        self.ctl("take", "Prize giving", "Orrin Three", "V5-11873")
        self.ctl("take", "Prize giving", "nothing of this name", status=1)
        self.assertIn("never tested", self.ctl("ready", "Prize giving").out)
        self.assertEqual(self.json("ready", "Prize giving")[0]["kind"], "untested")
        for name in ("a.pdf", "a.csv", "a.json"):
            self.ctl("sheet", "--job", "Prize giving", "--paper", "letter", self.path(name))
            self.assertGreater(os.path.getsize(self.path(name)), 100)
        sheet = self.json("sheet", "--job", "Prize giving")
        self.assertEqual([i["serial"] for i in sheet["items"]], ["0070310", "V5-11873"])
        self.ctl("sheet", self.path("a.odt"), status=1)
        self.ctl("sheet", "--paper", "a5", self.path("a.pdf"), status=2)
        self.ctl("sheet", status=2)
        self.ctl("sheet", self.path("no-folder/a.pdf"), status=1)


if __name__ == "__main__":
    main()
