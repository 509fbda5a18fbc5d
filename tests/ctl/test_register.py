# SPDX-License-Identifier: GPL-3.0-or-later
"""The register on the command line: undo, history, check, back-up, and files that are no register of ours."""
import os
import resource
import signal
import sqlite3
import subprocess
import unittest

from shimbook_ctl import BODY, CTL, LENS, CtlCase, main


class Register(CtlCase):
    def test_undo_redo_history(self):
        self.add_kit()
        self.ctl("change", "lens", "Velle 50", "holder=Priya")
        self.assertIn("Velle 50", self.json("undo")["summary"])
        self.assertIsNone(self.json("show", "lens", "Velle 50")["holder"])
        self.ctl("redo")
        self.assertEqual(self.json("show", "lens", "Velle 50")["holder"], "Priya")
        self.assertGreaterEqual(len(self.json("history")), 3)
        self.assertEqual(len(self.json("history", "--limit", 1)), 1)
        lens = self.json("show", "lens", "Velle 50")["id"]
        self.assertEqual({"Priya" in str(e) or "Velle 50" in str(e) for e in self.json("history", lens)}, {True})
        self.ctl("undo"), self.ctl("undo"), self.ctl("undo")
        self.assertEqual(self.json("list", "lens") + self.json("list", "body"), [])
        self.ctl("undo", status=1)
        self.ctl("history", "--limit", 0, status=2)

    def test_undo_of_one_entry(self):
        self.ctl("add", "body", *BODY)
        self.ctl("add", "lens", *LENS)
        self.ctl("change", "lens", "Velle 50", "holder=Priya")
        [line] = [line for line in self.ctl("history").out.splitlines() if "Body added" in line]
        handle = line.split()[0]
        self.assertIn("Body added", self.json("undo", handle)["summary"])
        self.assertEqual((len(self.json("list", "body")), len(self.json("list", "lens"))), (0, 1))
        self.ctl("undo", handle, status=1)
        self.ctl("redo", handle)
        self.assertEqual(len(self.json("list", "body")), 1)
        self.ctl("undo", "00000000", status=1)

    def test_find(self):
        self.add_kit()
        self.ctl("add", "job", "name=Sports day")
        self.ctl("event", "--what", "knock", "--note", "fell off a desk", "body", "Orrin Three")
        for words, kind in ((["11873"], "lens"), (["sports"], "job"), (["desk"], "event"), (["orrin", "three"], "body")):
            self.assertIn(kind, {hit["kind"] for hit in self.json("find", *words)}, words)
        self.assertIn("Velle 50", self.ctl("find", "vel").out)
        nothing = self.ctl("find", "pelican")
        self.assertEqual(nothing.out, "")
        self.assertIn("nothing found", nothing.err)
        self.ctl("find", status=2)

    def test_empty_lists_say_so(self):
        answer = self.ctl("list", "lens")
        self.assertEqual((answer.out, "no lens yet" in answer.err), ("", True))
        self.assertEqual(self.json("list", "lens"), [])
        self.add_kit()
        self.assertIn("pelican", self.ctl("list", "lens", "--search", "pelican").err)
        self.assertEqual(self.ctl("list", "lens").err, "")

    def test_output_that_cannot_be_written(self):
        with open("/dev/full", "w") as full:
            done = subprocess.run([CTL, "list", "mount", "--register", self.register], stdout=full, stderr=subprocess.PIPE, text=True)
        self.assertEqual(done.returncode, 1)
        self.assertIn("No space left", done.stderr)

    def test_check_and_back_up(self):
        self.add_kit()
        self.assertTrue(self.json("check")["ok"])
        copy = self.path("copy.shimbook")
        self.ctl("back-up", copy)
        self.ctl("back-up", copy, status=1)
        self.ctl("back-up", "--overwrite", copy)
        notes = self.write("notes.txt", "not to be lost\n")
        self.ctl("back-up", "--overwrite", notes, status=1)
        with open(notes, encoding="utf-8") as file:
            self.assertEqual(file.read(), "not to be lost\n")
        self.ctl("back-up", self.path("no-folder/copy"), status=1)
        self.register = copy
        self.assertTrue(self.json("check")["ok"])
        self.assertEqual(len(self.json("list", "body")), 1)

    def test_put_back(self):
        self.add_kit()
        backup = self.path("then.shimbook")
        self.ctl("back-up", backup)
        self.ctl("add", "lens", "label=Velle 85", "mount=F", "focal_min_mm=85")
        told = self.json("put-back", "--dry-run", backup)
        self.assertEqual((told["is_same_register"], told["bodies"], told["lenses"], told["kept"]), (True, 1, 1, None))
        self.assertEqual(len(self.json("list", "lens")), 2)
        kept = self.json("put-back", backup)["kept"]
        self.assertEqual(len(self.json("list", "lens")), 1)
        self.ctl("put-back", kept)
        self.assertEqual(len(self.json("list", "lens")), 2)
        self.ctl("put-back", self.write("letter.txt", "Dear crew"), status=1)
        self.ctl("put-back", self.path("nowhere"), status=1)
        self.assertFalse(os.path.exists(self.path("nowhere")))

    def test_merge(self):
        self.add_kit()
        ours = self.register
        self.register = self.path("theirs.shimbook")
        self.ctl("add", "lens", "label=Velle 85", "serial=0099", "mount=F", "focal_min_mm=85")
        theirs, self.register = self.register, ours
        self.assertFalse(self.json("merge", "--dry-run", theirs)["stored"])
        self.assertEqual(len(self.json("list", "lens")), 1)
        self.assertGreaterEqual(self.json("merge", theirs)["added"], 1)
        self.assertEqual([r["label"] for r in self.json("list", "lens")], ["Velle 50", "Velle 85"])
        self.assertEqual(self.json("merge", theirs)["added"], 0)
        missing = self.path("missing.shimbook")
        self.ctl("merge", missing, status=1)
        self.assertFalse(os.path.exists(missing))
        self.ctl("merge", self.write("notes.txt", "no register\n" * 100), status=1)

    def refused(self, path):
        with open(path, "rb") as file:
            before = file.read()
        self.register = path
        for words in (["list", "body"], ["add", "body", *BODY], ["check"]):
            answer = self.ctl(*words, status=1)
            self.assertTrue(answer.err.startswith("shimbookctl: "))
        with open(path, "rb") as file:
            self.assertEqual(file.read(), before)
        return answer.err

    def test_newer_version(self):
        self.add_kit()
        db = sqlite3.connect(self.register)
        db.execute("PRAGMA user_version = 9999")
        db.commit()
        db.execute("PRAGMA journal_mode = DELETE")
        db.close()
        self.assertIn("newer", self.refused(self.register))

    def test_text_file(self):
        self.refused(self.write("notes.shimbook", "This is no register at all, but a note of more than a few words.\n" * 50))

    def test_other_database(self):
        path = self.path("other.db")
        db = sqlite3.connect(path)
        db.execute("CREATE TABLE recipe (name TEXT)")
        db.commit()
        db.close()
        self.refused(path)

    def test_damaged(self):
        self.add_kit()
        db = sqlite3.connect(self.register)
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        db.close()
        size = os.path.getsize(self.register)
        with open(self.register, "r+b") as file:
            file.truncate(size // 3)
        answer = self.run_ctl("check", "--register", self.register)
        self.assertEqual(answer.status, 1)
        self.assert_said(answer)

    def test_full_disk(self):
        """A limit on the size of files stands for a full disk: the program goes on, says so, and what there was is there."""
        def limit():
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (65536, 65536))
        self.add_kit()
        answer = subprocess.run([CTL, "add", "lens", "label=Late", "mount=F", "focal_min_mm=35", "--register", self.register],
                                capture_output=True, text=True, preexec_fn=limit, restore_signals=False, check=False)
        self.assertEqual(answer.returncode, 1)
        self.assertIn("no room", answer.stderr)
        self.assertEqual([r["label"] for r in self.json("list", "lens")], ["Velle 50"])
        self.ctl("check")

    def test_read_only(self):
        """What may not be written to can still be read. The superuser may write everywhere and becomes nobody for it."""
        def demote():
            if os.getuid() == 0:
                os.setgid(65534)
                os.setuid(65534)

        def run(*words):
            return subprocess.run([CTL, *words, "--register", self.register], capture_output=True, text=True, preexec_fn=demote,
                                  check=False)
        self.add_kit()
        folder = os.path.dirname(self.register)
        os.chmod(self.register, 0o444)
        os.chmod(folder, 0o555)
        try:
            listed, added = run("list", "lens"), run("add", "lens", "label=Late", "mount=F", "focal_min_mm=35")
        except PermissionError:
            self.skipTest("nobody may not run the program here")
        finally:
            os.chmod(folder, 0o755)
        self.assertEqual((listed.returncode, listed.stdout.split("\t")[0]), (0, "Velle 50"), listed.stderr)
        self.assertEqual(added.returncode, 1)
        self.assertIn("Nothing was changed", added.stderr)

    def test_cut_short(self):
        self.add_kit()
        with open(self.register, "rb") as file:
            whole = file.read()
        for size in (10, 1000, 5000, len(whole) // 2):
            with open(self.register, "wb") as file:
                file.write(whole[:size])
            for end in ("-wal", "-shm"):
                if os.path.exists(self.register + end):
                    os.remove(self.register + end)
            self.assert_said(self.ctl("list", "lens", status=1))
            with open(self.register, "rb") as file:
                self.assertEqual(file.read(), whole[:size])

    def test_two_at_once(self):
        """Two programs that add lenses at the same time both get all of theirs in."""
        self.add_kit()
        script = 'for i in 1 2 3 4 5 6; do "$0" add lens "label=$2 $i" mount=F focal_min_mm=35 --register "$1" >/dev/null || exit 1; done'
        writers = [subprocess.Popen(["sh", "-c", script, CTL, self.register, name]) for name in ("Left", "Right")]
        self.assertEqual([writer.wait() for writer in writers], [0, 0])
        labels = [r["label"] for r in self.json("list", "lens")]
        self.assertEqual(sorted(labels), sorted(["Velle 50"] + [f"{name} {i}" for name in ("Left", "Right") for i in range(1, 7)]))
        self.ctl("check")

    def test_folder(self):
        self.register = self.folder
        self.ctl("list", "body", status=1)
        self.register = os.path.join(self.write("notes.txt", "a file"), "kit.shimbook")
        self.ctl("list", "body", status=1)

    @unittest.skipIf(os.geteuid() == 0, "root reads everything")
    def test_unreadable_folder(self):
        folder = self.path("closed")
        os.mkdir(folder, 0)
        self.addCleanup(os.chmod, folder, 0o700)
        self.register = os.path.join(folder, "kit.shimbook")
        self.ctl("list", "body", status=1)


if __name__ == "__main__":
    main()
