# SPDX-License-Identifier: GPL-3.0-or-later
"""A whole test on the command line: from frames with a known truth to a slot and a kit sheet."""
import csv
import os
import shutil
import subprocess
import tempfile

from shimbook_ctl import CtlCase, main, make_frame

# At setting s the sharp line lies at 14 s - 60 mm past the target: 4.29 would be right, 4 is the best whole setting.
STEP, AT_ZERO = 14.0, -60.0
SCATTER = (-3.0, 0.5, 2.5)


def setUpModule():
    global FOLDER, TARGET
    FOLDER = tempfile.mkdtemp(prefix="shimbook-ctl-frames-")
    for setting in (0, 5, 4):
        for k, scatter in enumerate(SCATTER):
            TARGET = make_frame(frame(setting, k), AT_ZERO + STEP * setting + scatter, f"--seed={10 * setting + k + 1}")
    make_frame(os.path.join(FOLDER, "other.jpg"), 0, "--lens-serial=V5-2")


def tearDownModule():
    shutil.rmtree(FOLDER, True)


def frame(setting, k):
    return os.path.join(FOLDER, f"s{setting}-{k}.jpg")


class Bench(CtlCase):
    def setUp(self):
        super().setUp()
        self.add_kit()
        self.test = self.json("test", "--body", "Orrin Three", "--lens", "Velle 50", "--distance", 2500)["id"]

    def round(self, setting, n=3, status=0):
        return self.json("round", "--setting", setting, "--target", TARGET, self.test, *[frame(setting, k) for k in range(n)],
                         status=status)

    def test_from_frames_to_sheet(self):
        self.assertEqual(self.json("advise", self.test)["rounds"], [])
        for setting in (0, 5):
            for k, added in enumerate(self.round(setting)["frames"]):
                truth = AT_ZERO + STEP * setting + SCATTER[k]
                self.assertTrue(added["stored"], added)
                self.assertLess(abs(added["reading"]["offset_mm"] - truth), 3 * added["reading"]["offset_se_mm"] + 1e-9, added)
        advice = self.json("advise", self.test)
        self.assertEqual([r["setting"] for r in advice["rounds"]], [0, 5])
        self.assertAlmostEqual(advice["step_mm"], STEP, delta=3 * advice["step_se_mm"])
        self.assertEqual(advice["setting"], 4)
        self.round(4)
        advice = self.json("advise", self.test)
        self.assertEqual((advice["action"], advice["setting"]), ("accept", 4))
        self.assertIn("Setting +4", self.ctl("advise", self.test).out)

        accepted = self.json("accept", self.test)
        self.assertEqual((accepted["decision"]["value"], accepted["slot_entry"]["number"]), (4, 1))
        # 14 × 4 - 60 = -4 mm is left at the best whole setting.
        self.assertAlmostEqual(accepted["decision"]["residual_mm"], -4.0, delta=3 * accepted["decision"]["residual_se_mm"])
        slots = self.json("slots", "Orrin Three")
        self.assertEqual([(s["number"], s["state"], s["setting"]) for s in slots], [(1, "keyed", 4), (2, "free", None), (3, "free", None)])
        [pair] = self.json("pairs")
        self.assertEqual((pair["state"], pair["setting"], pair["slot"]), ("tuned", 4, 1))
        entries = len(self.json("history"))
        for words in ([], ["--slot", 1], ["--slot", "none"]):
            self.assertIn("accepted already", self.ctl("accept", "--setting", 4, *words, self.test).err)
        self.assertEqual(len(self.json("history")), entries)
        self.assertNotIn("already", self.ctl("accept", "--setting", 4, "--slot", 2, self.test).err)
        self.ctl("undo")
        self.assertEqual(self.json("ready"), [])
        self.assertIn("All is ready", self.ctl("ready").out)

        table = self.path("sheet.csv")
        written = self.ctl("sheet", table, self.path("sheet.pdf")).out
        self.assertEqual(written, f"Written {table}\nWritten {self.path('sheet.pdf')}\n")
        with open(table, encoding="utf-8", newline="") as file:
            [row] = [r for r in csv.DictReader(file) if r["section"] == "pair"]
        self.assertEqual((row["body_serial"], row["lens_serial"], row["setting"], row["slot"]), ("0070310", "V5-11873", "4", "1"))

        record = self.path("record.pdf")
        self.assertEqual(self.ctl("record", self.test, record).out, f"Written {record}\n")
        text = subprocess.run(["pdftotext", "-layout", record, "-"], capture_output=True, text=True, check=True).stdout
        for wanted in ("0070310", "V5-11873", "s0-0.jpg", "s5-2.jpg", "setting +4, residual", "Setting 0:", "no reference round",
                       "qualified technician"):
            self.assertIn(wanted, text)
        images = subprocess.run(["pdfimages", "-list", record], capture_output=True, text=True, check=True).stdout
        self.assertEqual(images.count(" jpeg "), 9, images)
        self.ctl("record", self.test, self.path("no-folder/record.pdf"), status=1)
        self.ctl("record", "no such test", record, status=1)

    def test_frame_of_another_lens(self):
        other = os.path.join(FOLDER, "other.jpg")
        answer = self.json("round", "--setting", 0, "--target", TARGET, self.test, other, frame(0, 0), status=1)
        self.assertEqual([f["stored"] for f in answer["frames"]], [False, True])
        self.assertTrue(answer["frames"][0]["reason"])
        answer = self.json("round", "--into", answer["round"], "--override", "--target", TARGET, self.test, other)
        self.assertTrue(answer["frames"][0]["stored"])

    def test_bad_frames_do_not_stop_the_others(self):
        broken = self.write("broken.jpg", b"\xff\xd8\xff\xe0 cut")
        answer = self.json("round", "--setting", 0, "--target", TARGET, self.test, broken, frame(0, 0), self.path("missing.jpg"), status=1)
        self.assertEqual([f["stored"] for f in answer["frames"]], [False, True, False])

    def test_round_without_frames_leaves_nothing(self):
        self.round(0, 1)
        again = self.json("round", "--setting", 0, self.test, frame(0, 0), status=1)
        self.assertIn("mark it", again["frames"][0]["reason"])
        self.assertEqual(len(self.json("advise", self.test)["rounds"]), 1)

    def test_frames_without_target_say_what_to_do(self):
        # The frames are kept to be marked, but there is no figure to go on with.
        answer = self.ctl("round", "--setting", 0, self.test, frame(0, 0), status=1)
        frame_id = self.json("frames", self.test)[0]["frame"]
        self.assertIn(f"shimbookctl mark --target X,Y {frame_id}", answer.out)
        self.ctl("mark", "--target", TARGET, frame_id)
        self.assertIsNotNone(self.json("frames", self.test)[0]["offset_mm"])

    def test_depth_of_field_waits_for_the_format(self):
        self.ctl("add", "body", "name=Plain", "mount=F")
        test = self.json("test", "--body", "Plain", "--lens", "Velle 50", "--distance", 2500)["id"]
        self.assertIn("once a frame is measured", self.ctl("advise", test).out)
        self.assertNotIn("once a frame is measured", self.ctl("advise", self.test).out)

    def test_slots_and_events(self):
        self.round(0)
        self.ctl("accept", "--setting", 0, "--slot", "none", self.test)
        self.assertIn("not keyed in", self.run_ctl("sheet", "--json", "--register", self.register).out)
        self.assertEqual(self.json("key-in", "--slot", 2, "Orrin Three", "Velle 50")["number"], 2)
        lost = self.json("reset", "Orrin Three")
        self.assertEqual([(s["number"], s["state"], s["setting"]) for s in lost], [(2, "lost", 0)])
        self.assertEqual(self.json("pairs")[0]["state"], "due")
        self.assertEqual(self.json("key-in", "Orrin Three", "Velle 50")["number"], 2)
        self.ctl("clear", "Orrin Three", 2)
        self.assertEqual({s["state"] for s in self.json("slots", "Orrin Three")}, {"free"})
        event = self.json("event", "--what", "knock", "--on", "2026-11-20", "--note", "fell off a table", "lens", "Velle 50")
        self.assertTrue(event["casts_doubt"])
        self.assertIn(event["id"], [r["id"] for r in self.json("list", "event")])
        self.ctl("take-back", event["id"])
        self.assertTrue(self.json("show", "event", event["id"])["taken_back"])
        self.ctl("take-back", "no such event", status=1)
        self.ctl("take-back", status=2)
        self.ctl("event", "--what", "party", "lens", "Velle 50", status=1)
        self.ctl("event", "lens", "Velle 50", status=2)

    def test_review(self):
        self.round(0)
        frames = self.json("frames", self.test)
        self.assertEqual([(os.path.basename(f["file"]), f["use"]) for f in frames], [(f"s0-{k}.jpg", "used") for k in range(3)])
        first = frames[0]["frame"]
        self.ctl("leave-out", "--reason", "the ruler moved", first)
        self.assertEqual([f["use"] for f in self.json("frames", self.test)], ["left-out", "used", "used"])
        self.assertEqual(self.json("advise", self.test)["rounds"][0]["n_used"], 2)
        self.ctl("count", first)
        self.assertEqual(self.json("advise", self.test)["rounds"][0]["n_used"], 3)
        # By eye, on the target line itself: the offset is nil, and the program's reading is kept beside it.
        reading = self.json("read", "--target", TARGET, "--sharp", TARGET, "--error", 1.5, first)
        self.assertEqual((reading["method"], reading["offset_se_mm"]), ("eye", 1.5))
        self.assertAlmostEqual(reading["offset_mm"], 0.0, delta=0.01)
        self.assertEqual(self.json("frames", self.test)[0]["method"], "eye")
        self.ctl("read", "--target", TARGET, first, status=2)
        self.ctl("read", "--target", TARGET, "--sharp", "0,0,0", first, status=2)
        self.ctl("leave-out", "no such frame", status=1)

    def test_marks_reach_the_other_frames(self):
        self.json("round", "--setting", 0, self.test, *(frame(0, k) for k in range(3)), status=1)
        frames = self.json("frames", self.test)
        self.assertEqual([f["offset_mm"] for f in frames], [None] * 3)
        readings = self.json("mark", "--target", TARGET, frames[1]["frame"])
        self.assertEqual([r["frame"] for r in readings], [frames[k]["frame"] for k in (1, 0, 2)])
        self.assertEqual([r["refusal"] for r in readings], ["none"] * 3)
        self.assertNotIn(None, [f["offset_mm"] for f in self.json("frames", self.test)])
        self.ctl("mark", "--target", TARGET, "no such frame", status=1)
        self.ctl("mark", "--target", "here", frames[1]["frame"], status=2)

    def test_pair_commands(self):
        self.ctl("add", "lens", "label=Velle 85", "serial=0099", "mount=F", "focal_min_mm=85", "aperture_wide=1.4")
        self.assertFalse(self.json("predict", "Orrin Three", "Velle 85")["known"])
        self.ctl("withdraw", "Orrin Three", "Velle 85", status=1)
        self.ctl("decide", "--predicted", "Orrin Three", "Velle 85", status=1)
        self.round(0)
        self.ctl("accept", "--setting", 0, self.test)
        prediction = self.json("predict", "Orrin Three", "Velle 50")
        self.assertTrue(prediction["known"])
        self.assertGreater(prediction["se_steps"], 0)
        self.assertTrue(prediction["sentence"])
        self.assertEqual({i["name"] for i in self.json("model")}, {"Orrin Three", "Velle 50"})
        decision = self.json("decide", "--predicted", "Orrin Three", "Velle 50")
        self.assertEqual((decision["value"], decision["origin"]), (prediction["setting"], "predicted"))
        self.assertEqual({p["lens"]: p["state"] for p in self.json("pairs")}["Velle 50"], "due")
        self.ctl("decide", "--predicted", "--setting", 3, "Orrin Three", "Velle 50", status=2)
        plan = self.json("plan", "Orrin Three", "Velle 50", "Velle 85")
        self.assertEqual([p["lens"] for p in plan["lenses"]], ["Velle 50", "Velle 85"])
        self.assertTrue(plan["sentence"])
        self.ctl("plan", "Orrin Three", "nobody", status=1)
        self.ctl("not-needed", "Orrin Three", "Velle 85")
        self.assertEqual({p["lens"]: p["state"] for p in self.json("pairs")}["Velle 85"], "not-needed")
        self.ctl("needed", "Orrin Three", "Velle 85")
        self.ctl("withdraw", "--note", "the mount was changed", "Orrin Three", "Velle 50")
        self.assertIsNone({p["lens"]: p["setting"] for p in self.json("pairs")}["Velle 50"])

    def test_mistakes(self):
        for words in (["test", "--body", "Orrin Three"], ["round", self.test, "x.jpg"], ["round", "--setting", "1", self.test],
                      ["round", "--setting", "1", "--reference", self.test, "x.jpg"], ["accept", "--slot", "some", self.test],
                      ["accept"], ["round", "--setting", "1", "--approach", "left", self.test, "x.jpg"], ["clear", "Orrin Three", "first"]):
            self.ctl(*words, status=2)
        for words in (["test", "--body", "Orrin Three", "--lens", "nobody"], ["advise", "no such test"], ["accept", "no such test"],
                      ["round", "--setting", "99", self.test, frame(0, 0)], ["slots", "nobody"], ["accept", self.test]):
            self.ctl(*words, status=1)


if __name__ == "__main__":
    main()
