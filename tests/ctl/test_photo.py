# SPDX-License-Identifier: GPL-3.0-or-later
"""Photographs on the command line: measure and info, good files and bad."""
import os
import re
import shutil
import subprocess
import tempfile
import unittest

from shimbook_ctl import CtlCase, main, make_frame

MANUAL = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "src", "ctl", "shimbookctl.1")
# What `measure --json` promises of every file; more keys may stand beside them.
MEASURE_KEYS = {"file", "status", "reason", "target_px", "sharp_px", "ruler_mm", "offset_mm", "offset_se_mm", "depth_of_field_mm",
                "coc_mm", "mm_per_px"}
INFO_KEYS = {"file", "make", "model", "body_serial", "lens_model", "lens_serial", "focal_length_mm", "f_number", "exposure_s", "iso",
             "taken", "distance_m", "width_px", "height_px", "orientation", "adjustment"}
# A PNG of one pixel (W3C PNG, section 5).
PNG = bytes.fromhex("89504e470d0a1a0a0000000d49484452000000010000000108060000001f15c4890000000d49444154789c6360f8cf500f000386018"
                    "05a34ac3a0000000049454e44ae426082")


def setUpModule():
    global FOLDER, FRAME, TARGET
    FOLDER = tempfile.mkdtemp(prefix="shimbook-ctl-frames-")
    FRAME = os.path.join(FOLDER, "frame.jpg")
    TARGET = make_frame(FRAME, -30)


def tearDownModule():
    shutil.rmtree(FOLDER, True)


class Gather(CtlCase):
    def test_items_from_photographs(self):
        copy, text = self.path("copy.jpg"), self.write("text.jpg", "not a picture\n")
        shutil.copy(FRAME, copy)
        self.assertIn("--mount", self.ctl("gather", FRAME, status=1).err)
        self.assertEqual(self.json("list", "body"), [])
        found = self.json("gather", "--mount", "F", FRAME, copy)
        self.assertEqual([(f["item"]["serial"], f["is_known"], f["n_photos"]) for f in found],
                         [("0070310", False, 2), ("V5-11873", False, 2)])
        self.assertEqual([lens["label"] for lens in self.json("list", "lens")], ["Velle 50mm f/1.8"])
        self.assertEqual([f["is_known"] for f in self.json("gather", FRAME, text, status=1)], [True, True])
        self.assertEqual(len(self.json("list", "body")), 1)


class Measure(CtlCase):
    def setUp(self):
        super().setUp()
        self.frame, self.target = FRAME, TARGET

    def measure(self, *files, status=0):
        answer = self.run_ctl("measure", "--json", "--target", self.target, *files)
        self.assertEqual(answer.status, status, answer.err)
        return answer.json

    def test_printed_target(self):
        """A frame of the printed target says all by itself, with its sign."""
        frame = self.path("own.jpg")
        x, y = map(float, make_frame(frame, 20, "--own-target", "--roll=4").split(","))
        [answer] = self.run_ctl("measure", "--json", frame).json
        self.assertEqual((answer["status"], answer["own_target"]), ("measured", True), answer)
        error = abs(answer["offset_mm"] - 20)
        self.assertLess(error, 3 * answer["offset_se_mm"])
        self.assertLess(error, answer["depth_of_field_mm"] / 100)
        self.assertAlmostEqual(answer["target_px"][0], x, delta=1)
        self.assertAlmostEqual(answer["target_px"][1], y, delta=1)
        text = self.run_ctl("measure", frame)
        self.assertIn("printed target was recognised", text.out)
        [ruler] = self.measure(self.frame)
        self.assertFalse(ruler["own_target"])

    def bad_files(self):
        with open(self.frame, "rb") as file:
            data = file.read()
        return [self.write("half.jpg", data[:len(data) // 2]), self.write("empty.jpg", b""), self.write("picture.jpg", PNG),
                self.write("text.jpg", "not a picture\n"), self.path("missing.jpg"), self.folder]

    def test_marks_are_carried_over(self):
        copy = self.path("copy.jpg")
        shutil.copy(self.frame, copy)
        [first, second] = self.run_ctl("measure", "--json", "--carry", "--target", self.target, self.frame, copy).json
        self.assertEqual([(f["marks"], f["status"]) for f in (first, second)], [("own", "measured"), ("carried", "measured")])
        self.assertIsNone(first["shift_x_px"])
        self.assertAlmostEqual(second["shift_x_px"], 0.0, delta=0.02)
        self.assertAlmostEqual(second["shift_y_px"], 0.0, delta=0.02)
        self.assertAlmostEqual(second["offset_mm"], first["offset_mm"], delta=first["offset_se_mm"])

    def test_known_offset(self):
        [frame] = self.measure(self.frame)
        self.assertLessEqual(MEASURE_KEYS, set(frame))
        self.assertEqual((frame["file"], frame["status"]), (self.frame, "measured"))
        # MEASURING: within three of its own standard errors, and within a quarter of the depth of field.
        error = abs(frame["offset_mm"] + 30)
        self.assertLess(error, 3 * frame["offset_se_mm"])
        self.assertLess(error, frame["depth_of_field_mm"] / 4)
        # offset = ruler length × cos 45°, here with readings that fall toward the camera.
        self.assertAlmostEqual(abs(frame["ruler_mm"]) * 0.7071067812, abs(frame["offset_mm"]), delta=0.5)
        self.assertEqual(len(frame["target_px"]), 2)
        self.assertLess(frame["offset_mm"] * 1.0, 0.0)
        text = self.run_ctl("measure", "--target", self.target, self.frame)
        self.assertIn("in front of the target", text.out)

    def test_circle_of_confusion_moves_only_the_depth_of_field(self):
        [usual] = self.measure(self.frame)
        [other] = self.measure("--coc", "0.060", self.frame)
        self.assertEqual(other["coc_mm"], 0.060)
        self.assertEqual(other["offset_mm"], usual["offset_mm"])
        # Depth of field grows in proportion to c while it is small against the distance.
        self.assertAlmostEqual(other["depth_of_field_mm"] / usual["depth_of_field_mm"], 0.060 / usual["coc_mm"], delta=0.1)

    def test_one_bad_file_does_not_stop_the_others(self):
        for bad in self.bad_files():
            answer = self.measure(bad, self.frame, status=1)
            self.assertEqual([a["status"] for a in answer], ["refused", "measured"], bad)
            self.assertTrue(answer[0]["reason"], bad)
            self.assertIsNone(answer[0]["offset_mm"])
            self.assertEqual(answer[0]["file"], bad)

    def test_no_ruler(self):
        path = self.path("bare.jpg")
        make_frame(path, 0, "--no-ruler")
        [answer] = self.measure(path, status=1)
        self.assertEqual(answer["status"], "refused")
        self.assertTrue(answer["reason"].endswith("."))

    def test_picture_on_its_side(self):
        path = self.path("side.jpg")
        make_frame(path, 0, "--no-ruler", "--turn=90")
        self.assertIn("upright", self.ctl("measure", "--target", "800,1440", path, status=1).out)

    @unittest.skipIf(os.geteuid() == 0, "root reads everything")
    def test_unreadable_folder(self):
        folder = self.path("closed")
        os.mkdir(folder)
        os.chmod(folder, 0)
        self.addCleanup(os.chmod, folder, 0o700)
        answer = self.measure(os.path.join(folder, "frame.jpg"), self.frame, status=1)
        self.assertEqual([a["status"] for a in answer], ["refused", "measured"])

    def test_mistakes(self):
        for words in ([], ["--target", "1", self.frame], ["--target", "a,b", self.frame], ["--angle", "0", self.frame],
                      ["--far", "out", self.frame], ["--strip", "1,2,3", self.frame], ["--f-number", "nan", self.frame],
                      ["--tick", "-1", self.frame], ["--nonsense", self.frame]):
            answer = self.run_ctl("measure", *words)
            self.assertEqual(answer.status, 2, words)
            self.assert_said(answer)

    def test_needs_no_register(self):
        self.measure(self.frame)
        self.assertFalse(os.path.exists(self.register))
        self.assertEqual([n for n in os.listdir(self.folder) if "shimbook" in n], [])

    def test_info(self):
        answer = self.run_ctl("info", "--json", self.frame)
        self.assertEqual(answer.status, 0)
        [info] = answer.json
        self.assertLessEqual(INFO_KEYS, set(info))
        self.assertEqual((info["make"], info["model"], info["body_serial"]), ("Orrin", "Orrin Three", "0070310"))
        self.assertEqual((info["lens_serial"], info["focal_length_mm"], info["f_number"]), ("V5-11873", 50, 1.8))
        self.assertEqual((info["width_px"], info["height_px"]), (2880, 1600))
        self.assertIsNone(info["adjustment"])
        self.assertIn("0070310", self.run_ctl("info", self.frame).out)

    def test_info_without_metadata(self):
        path = self.path("plain.jpg")
        make_frame(path, 0, "--no-exif")
        [info] = self.run_ctl("info", "--json", path).json
        for key in INFO_KEYS - {"file", "width_px", "height_px", "orientation"}:
            self.assertIsNone(info[key], key)

    def test_info_of_bad_files(self):
        for bad in self.bad_files():
            answer = self.run_ctl("info", "--json", bad, self.frame)
            listed = answer.json
            self.assertEqual(len(listed), 2, bad)
            self.assertEqual(listed[1]["model"], "Orrin Three")
            if not bad.endswith("half.jpg"):  # the head of a cut file still tells its metadata
                self.assertEqual(answer.status, 1, bad)
                self.assertIsNone(listed[0]["model"])
                self.assertTrue(listed[0]["error"])
                self.assert_said(answer)


class FromPhoto(CtlCase):
    def test_add_from_a_photograph(self):
        self.ctl("add", "--photo", FRAME, "body", status=1)  # a photograph names no mount
        body = self.json("add", "--photo", FRAME, "body", "mount=F", "label=Body three")
        self.assertEqual((body["label"], body["serial"], body["maker"]), ("Body three", "0070310", "Orrin"))
        lens = self.json("add", "--photo", FRAME, "lens", "mount=F")
        self.assertEqual((lens["serial"], lens["focal_min_mm"]), ("V5-11873", 50))
        self.assertIn("already", self.ctl("add", "--photo", FRAME, "lens", "mount=F", status=1).err)
        self.assertEqual(len(self.json("list", "lens")), 1)
        self.ctl("add", "--photo", FRAME, "job", status=2)
        self.ctl("add", "--photo", os.path.join(FOLDER, "nothing.jpg"), "body", status=1)


class Help(CtlCase):
    def test_help_names_every_command(self):
        answer = self.run_ctl("--help")
        self.assertEqual(answer.status, 0)
        for command in ("measure", "info", "list", "add", "import", "test", "round", "advise", "accept", "slots", "sheet", "check",
                        "back-up", "undo"):
            self.assertIn(f"  {command} ", answer.out)
        self.assertEqual(self.run_ctl().status, 2)
        self.assertEqual(self.run_ctl("--version").status, 0)

    def test_manual_names_every_command(self):
        with open(MANUAL, encoding="utf-8") as file:
            manual = file.read().replace("\\-", "-")
        commands = re.findall(r"^  (\S+)", self.run_ctl("--help").out, re.MULTILINE)
        self.assertGreater(len(commands), 40)
        for command in commands:
            self.assertIsNotNone(re.search(rf'^\.B[IR]? (.* )?{re.escape(command)}( |$)', manual, re.MULTILINE), command)

    @unittest.skipIf(shutil.which("man") is None, "there is no man here")
    def test_manual_is_well_formed(self):
        process = subprocess.run(["man", "--warnings", "-E", "UTF-8", "-l", "-Tutf8", "-Z", MANUAL], capture_output=True, text=True,
                                 env=dict(os.environ, LC_ALL="C.UTF-8", MANROFFSEQ="", MANWIDTH="80"))
        self.assertEqual((process.returncode, process.stderr), (0, ""))

    def test_no_window_libraries(self):
        from shimbook_ctl import CTL
        linked = subprocess.run(["ldd", CTL], capture_output=True, text=True, check=True).stdout
        for library in ("libgtk", "libadwaita", "libwayland-client"):
            self.assertNotIn(library, linked)


if __name__ == "__main__":
    main()
