"""The double proves itself: `python3 -m unittest discover tests/doubles`."""

import errno
import json
import os
import select
import subprocess
import sys
import tempfile
import time
import unittest
from fractions import Fraction
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from pan import Indication, Pan  # noqa: E402
from shapes import SHAPES, Division  # noqa: E402

G = 1_000_000
LIMIT_S = 10.0


def indication(gross_ug, tare_ug=0, stable=True, over=False, under=False, zeroed=True):
    return Indication(gross_ug, tare_ug, stable, over, under, zeroed)


class ShapesLookAsTold(unittest.TestCase):
    def check(self, shape, shown, expect, division="0.01", unit="g", **options):
        got = SHAPES[shape](shown, Division.parse(division, unit), options)
        self.assertEqual(got, expect)

    def test_the_head_says_stable_moving_net_and_over(self):
        self.check("head", indication(12_300_000), b"ST,GS,+   12.30 g\r\n")
        self.check("head", indication(-500_000, stable=False), b"US,GS,-    0.50 g\r\n")
        self.check("head", indication(62_000_000, 50 * G), b"NT".join((b"ST,", b",+   12.00 g\r\n")))
        self.check("head", indication(9_000 * G, over=True), b"OL,GS,+         g\r\n")
        self.check("head", indication(12_300_000), b"ST,GS,+00012.30 g\r\n", pad="zeros")

    # The place of the fields: line 4 of the struggles collected in public (weight 350, tare 350).
    def test_the_status_frame_holds_weight_and_tare_and_its_sum_is_nothing(self):
        division = Division.parse("1", "kg")
        frame = SHAPES["status"](indication(700_000 * G, 350_000 * G), division, {})
        self.assertEqual(frame[0], 0x02)
        self.assertEqual(frame[4:10], b"   350")
        self.assertEqual(frame[10:16], b"   350")
        self.assertEqual(frame[16:17], b"\r")
        self.assertEqual(sum(byte & 0x7F for byte in frame) % 128, 0)
        bare = SHAPES["status"](indication(700_000 * G, 350_000 * G), division, {"check": False})
        self.assertEqual(bare, frame[:-1])

    def test_the_polled_frame_ends_with_its_status(self):
        self.check("polled", indication(12_300_000), b"\n   12.30G\r\x30\x30\x03")
        self.check("polled", indication(0, stable=False), b"\n    0.00G\r\x33\x30\x03")
        self.check("polled", indication(9_000 * G, over=True), b"\n    ^^^^G\r\x30\x32\x03")
        self.check("polled", indication(-9_000 * G, under=True), b"\n    ____G\r\x30\x31\x03")

    def test_the_tagged_line_has_fourteen_bytes(self):
        self.check("tagged", indication(118_700 * G), b":W 118.70kgS \r", unit="kg")
        self.assertEqual(len(b":W 118.70kgS \r"), 14)
        self.check("tagged", indication(-12 * G, stable=False), b":W- 12.00 gU \r")

    def test_bare_numbers_have_no_unit(self):
        self.check("bare", indication(170_950_000), b"170.95\r\n")
        self.check("bare", indication(-143_370_000), b"-143.37\r\n")
        self.check("bare", indication(0), b"0.00\r\n")

    def test_the_shapes_to_be_taught_are_as_their_heads_say(self):
        self.check("stranger", indication(-12_300_000, stable=False), b"w=-0012.30;m=1#\r")
        self.check("stranger", indication(0, over=True), b"w=+-------;m=0#\r")
        self.check("pair", indication(12_300_000), b"a0012.30:b0012.34\r\n")
        self.check("pair", indication(350_000_000), b"a0350.00:b0370.00\r\n")
        frame = SHAPES["bits"](indication(-12_300_000), Division.parse("0.1", "g"), {})
        self.assertEqual(frame[:6], b"\xa5\x5a\x00\x85\xff\xff")
        self.assertEqual(sum(frame[:7]) & 0xFF, frame[7])

    def test_the_unit_is_blank_while_moving(self):
        self.check("steady-unit", indication(12_300_000), b"+   12.30 g  \r\n")
        self.check("steady-unit", indication(12_300_000, stable=False), b"+   12.30    \r\n")

    def test_ounces_are_exact(self):
        self.assertEqual(Division.parse("0.05", "oz").text(1_000_000), "0.05")
        self.assertEqual(Division.parse("0.001", "oz").text(28_349_523), "1.000")
        self.assertEqual(Division.parse("1", "oz").step, Fraction(1))


class ThePanObeysThePhysics(unittest.TestCase):
    def test_a_pour_arrives_over_time_and_never_beyond_its_amount(self):
        pan = Pan()
        pan.load(50 * G, 0)
        pan.pour(10 * G, 4 * G, 1.0)
        arrived = [pan.contents_ug(t) for t in (0.5, 1.0, 2.0, 3.5, 9.0)]
        self.assertEqual(arrived, [0, 0, 4 * G, 10 * G, 10 * G])

    def test_a_pour_without_a_flow_is_there_at_once(self):
        pan = Pan()
        pan.load(50 * G, 3 * G)
        pan.pour(10 * G, None, 1.0)
        self.assertEqual(pan.load_ug(1.0), 63 * G)

    def test_cutting_the_stream_keeps_what_arrived(self):
        pan = Pan()
        pan.load(50 * G, 0)
        pan.pour(10 * G, 4 * G, 0.0)
        pan.stop_pouring(1.0)
        self.assertEqual(pan.contents_ug(60.0), 4 * G)

    def test_what_is_poured_in_the_hand_comes_back_with_the_jar(self):
        pan = Pan()
        pan.load(50 * G, 0)
        pan.jar_on = False
        pan.pour(5 * G, None, 0.0)
        self.assertEqual(pan.load_ug(1.0), 0)
        self.assertTrue(pan.pours[0].in_hand)
        pan.jar_on = True
        self.assertEqual(pan.load_ug(1.0), 55 * G)

    def test_stable_takes_a_second_within_a_division(self):
        pan = Pan(division_ug=G)
        stable = [pan.read(t / 10).stable for t in range(12)]
        self.assertEqual(stable, [False] * 10 + [True, True])
        pan.load(50 * G, 0)
        self.assertFalse(pan.read(1.2).stable)
        self.assertEqual([pan.read(1.2 + t / 10).stable for t in (5, 9, 11)], [False, False, True])

    def test_power_on_zero_takes_up_to_a_fifth_of_the_capacity(self):
        pan = Pan(capacity_ug=1000 * G)
        pan.load(200 * G, 0)
        pan.power_on(0.0)
        self.assertEqual((pan.read(0.0).gross_ug, pan.zeroed), (0, True))
        pan.load(201 * G, 0)
        pan.power_on(1.0)
        self.assertEqual((pan.read(1.0).gross_ug, pan.zeroed), (201 * G, False))

    def test_zero_tracking_eats_slow_drops_on_an_empty_pan_and_none_on_a_loaded_one(self):
        for jar_ug, eaten in ((0, True), (50 * G, False)):
            pan = Pan(division_ug=100_000, tracking=True)
            pan.load(jar_ug, 0)
            pan.pour(G, 40_000, 0.0)  # 0.4 d a second
            for tick in range(251):
                shown = pan.read(tick / 10)
            self.assertEqual(shown.gross_ug == jar_ug + G, not eaten)
            self.assertEqual(pan.zero_ug == G, eaten)

    def test_the_tare_key_moves_the_net_and_keeps_the_gross(self):
        pan = Pan(division_ug=100_000)
        pan.load(50 * G, 0)
        pan.press_tare(0.0)
        shown = pan.read(0.0)
        self.assertEqual((shown.gross_ug, shown.net_ug), (50 * G, 0))

    def test_over_is_nine_divisions_above_the_maximum(self):
        pan = Pan(division_ug=G, capacity_ug=100 * G)
        pan.load(109 * G, 0)
        self.assertFalse(pan.read(0.0).over)
        pan.load(110 * G, 0)
        self.assertTrue(pan.read(0.1).over)

    def test_the_same_seed_makes_the_same_noise(self):
        def readings(seed):
            pan = Pan(division_ug=1_000)
            pan.make_noise(50_000, seed)
            return [pan.read(t / 10).gross_ug for t in range(50)]

        self.assertEqual(readings(7), readings(7))
        self.assertNotEqual(readings(7), readings(8))

    def test_a_spike_displaces_one_reading_and_a_tap_passes(self):
        pan = Pan(division_ug=1_000)
        pan.spike(-5 * G, 1)
        self.assertEqual([pan.read(t / 10).gross_ug for t in range(2)], [-5 * G, 0])
        pan.tap(30 * G, 0.25, 1.0)
        self.assertEqual([pan.read(t).gross_ug for t in (1.1, 1.3)], [30 * G, 0])

    def test_a_tap_that_is_still_to_come_waits_for_its_time(self):
        pan = Pan(division_ug=1_000)
        pan.tap(30 * G, 0.25, 1.0)
        pan.tap(40 * G, 0.25, 2.0)
        self.assertEqual([pan.read(t).gross_ug for t in (0.9, 1.1, 1.5, 2.1, 2.3)], [0, 30 * G, 0, 40 * G, 0])

    def test_averaging_lags_behind_the_pour(self):
        pan = Pan(division_ug=1_000, response_s=0.5)
        pan.read(0.0)
        pan.load(100 * G, 0)
        # A first-order lag shows 1 - 1/e after its time constant.
        self.assertAlmostEqual(pan.read(0.5).gross_ug / G, 100 * (1 - 0.36787944), delta=0.001)


class Driven:
    """A running double and one reader of its terminal."""

    def __init__(self, *options):
        self.folder = tempfile.TemporaryDirectory()
        self.link = os.path.join(self.folder.name, "scale")
        self.process = subprocess.Popen(
            [sys.executable, HERE / "scale.py", self.link, *options],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )
        self.ready = json.loads(self.process.stdout.readline())

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.process.stdin.close()
        self.process.wait(LIMIT_S)
        self.process.stdout.close()
        self.folder.cleanup()

    def do(self, what, /, **fields):
        self.process.stdin.write(json.dumps({"do": what, **fields}).encode() + b"\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())

    def open(self):
        return os.open(self.link, os.O_RDWR | os.O_NOCTTY)


def read_until(terminal, wanted):
    """Reads until `wanted` is in; fails at the limit."""
    got, end = b"", time.monotonic() + LIMIT_S
    while wanted not in got:
        ready, _, _ = select.select([terminal], [], [], max(0.0, end - time.monotonic()))
        if not ready:
            raise AssertionError(f"{wanted!r} did not come; the end was {got[-80:]!r}")
        got += os.read(terminal, 4096)
    return got


def is_hung_up(terminal):
    """Reads what is left; a hung-up terminal then ends or fails, an open one would go on."""
    try:
        while os.read(terminal, 4096):
            pass
    except OSError as error:
        return error.errno == errno.EIO
    return True


class TheDoubleIsAScaleOnALine(unittest.TestCase):
    def test_a_poured_weight_arrives_on_the_line(self):
        with Driven("--speed", "20") as scale:
            terminal = scale.open()
            self.assertTrue(scale.do("load", jar_ug=50 * G)["ok"])
            scale.do("pour", amount_ug=12_300_000, flow_ug_per_s=5 * G)
            read_until(terminal, b"ST,GS,+    62.3 g\r\n")
            truth = scale.do("truth")
            self.assertEqual(truth["contents_ug"], 12_300_000)
            os.close(terminal)

    def test_replugging_hangs_up_and_points_the_link_at_another_terminal(self):
        with Driven() as scale:
            terminal = scale.open()
            read_until(terminal, b"\r\n")
            scale.do("unplug")
            self.assertFalse(os.path.lexists(scale.link))
            self.assertTrue(is_hung_up(terminal))
            answer = scale.do("replug")
            self.assertNotEqual(answer["terminal"], scale.ready["terminal"])
            self.assertEqual(os.readlink(scale.link), answer["terminal"])
            again = scale.open()
            read_until(again, b"\r\n")
            os.close(terminal)
            os.close(again)

    def test_a_polled_scale_speaks_when_asked(self):
        with Driven("--shape", "polled", "--reports", "polled") as scale:
            terminal = scale.open()
            os.write(terminal, b"W\r")
            self.assertIn(b"0.0G\r", read_until(terminal, b"\x03"))
            self.assertEqual(scale.do("truth")["received_hex"], b"W\r".hex())
            os.close(terminal)

    def test_a_power_cycle_brings_a_banner_and_a_new_zero(self):
        with Driven("--speed", "20") as scale:
            terminal = scale.open()
            scale.do("load", jar_ug=50 * G)
            read_until(terminal, b"+    50.0 g\r\n")
            scale.do("power_cycle", off_s=1.0)
            read_until(terminal, b"self test passed\r\nUS,GS,+     0.0 g\r\n")
            os.close(terminal)

    def test_an_unread_line_keeps_its_buffer_and_loses_the_rest(self):
        with Driven("--speed", "100", "--rate", "80") as scale:
            end = time.monotonic() + LIMIT_S
            while scale.do("truth")["lost_frames"] == 0:
                self.assertLess(time.monotonic(), end)
            terminal = scale.open()
            os.set_blocking(terminal, False)
            self.assertLessEqual(len(os.read(terminal, 65536)), 4095 + 19)
            os.close(terminal)

    def test_a_finished_weighing_is_reported_once(self):
        with Driven("--speed", "50", "--reports", "finished") as scale:
            terminal = scale.open()
            for grams in (20, 30):
                scale.do("load", jar_ug=grams * G)
                self.assertEqual(read_until(terminal, b"\n"), b"ST,GS,+    %d.0 g\r\n" % grams)
                scale.do("lift")
                end = time.monotonic() + LIMIT_S
                while bytes.fromhex(scale.do("poll")["frame_hex"]) != b"ST,GS,+     0.0 g\r\n":
                    self.assertLess(time.monotonic(), end)
            os.close(terminal)

    def test_what_was_sent_is_stamped_once_asked_for(self):
        with Driven("--speed", "20") as scale:
            terminal = scale.open()
            before = time.time() * 1000
            self.assertEqual(scale.do("stamps")["stamps"], [])
            scale.do("load", jar_ug=50 * G)
            read_until(terminal, b"+    50.0 g\r\n")
            stamps = scale.do("stamps")["stamps"]
            self.assertIn(50 * G, [net_ug for net_ug, _ in stamps])
            self.assertTrue(all(before <= wall_ms <= time.time() * 1000 for _, wall_ms in stamps))
            os.close(terminal)

    def test_a_wrong_command_is_answered_and_changes_nothing(self):
        with Driven() as scale:
            for name, fields in (("dance", {}), ("rate", {"hz": 900}), ("load", {})):
                self.assertFalse(scale.do(name, **fields)["ok"])
            self.assertFalse(scale.do("shape", name="status", unit="ct")["ok"])
            self.assertTrue(scale.do("truth")["ok"])


if __name__ == "__main__":
    unittest.main()
