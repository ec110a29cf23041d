#!/usr/bin/env python3
"""A double of a scale on a serial line: a pseudo-terminal, a link to it, and a pan to play with.

    scale.py LINK [--shape NAME] [--unit g] [--division 0.1] [--rate 10] [--reports stream]
                  [--capacity 5000] [--speed 1] [--buffer 4095] [--seed 1] [--banner TEXT]

LINK becomes a symbolic link to the terminal a program may open. Time runs SPEED times as fast as the wall's,
and everything told in seconds or Hz is told in that time. Standard input takes one JSON object a line,
`{"do": NAME, …}`; each gets one line of JSON back, `{"ok": true, "at_s": …, …}` or `{"ok": false, "error": …}`.
The first line, unasked, says `{"ok": true, "ready": true, "link": …, "terminal": …}`. The end of standard input
ends the double. Mass is whole micrograms everywhere but in --capacity and --division.

The hands
  load       jar_ug, contents_ug=0      another jar is on the pan; what was poured before is forgotten
  pour       amount_ug, flow_ug_per_s   liquid arrives at that flow, or all at once without one; also in the hand
  stop                                  the stream is cut off
  take       amount_ug                  something leaves the jar (residue on a stick)
  beside     load_ug                    what else lies on the pan, from now on
  lift, back                            the jar leaves the pan, comes back
  tap        push_ug, for_s=0.2, after_s=0
                                        a finger on the pan, now or a little later
  tare, zero                            the scale's own keys
The scale
  power_cycle off_s=0.5                 silence, banner, power-on zero, tare lost
  silence, resume                       it says nothing, it speaks again (auto-off; a stall)
  unplug, replug                        the terminal is hung up and the link gone; a new terminal under the link
  backlog    frames                     so many frames at once, as after a stall
  garbage    hex, or bytes and seed=1   those bytes, at once
  flood      hex, bytes                 those bytes over and over, so many in all, as fast as the program reads
  tear                                  the next frame breaks off in its middle
  spike      by_ug, count=1             the next readings are displaced
  noise      sigma_ug, seed=1           normal noise on each reading
  drift      ug_per_s                   creep
  response   s                          the converter's averaging, a first-order lag
  tracking   on                         automatic zero tracking, half a division a second
  under      below_ug                   less than this gross is "under"; null for never
  rate       hz                         0.3 to 80 readings a second
  reports    how                        stream, polled (`W` CR), on_change, finished (one stable report a weighing)
  shape      name, unit, division, and pad ("zeros"), check (true) where the shape has them; see shapes.py
Asking
  truth                                 what was poured and what lies where
  poll                                  answers {"frame_hex": …}: the frame as it would be sent now, not sent
  stamps                                answers {"stamps": [[net_ug, wall_ms], …]}: what was sent since it was asked last,
                                        the newest 10,000, each when it had been written (from the second time on)
A terminal whose reader is away keeps --buffer bytes; what comes after is lost, as in a serial port.
"""

import argparse
import collections
import errno
import fcntl
import json
import os
import random
import select
import struct
import sys
import termios
import time
import tty

from pan import Pan
from shapes import SHAPES, Division

REPORTS = ("stream", "polled", "on_change", "finished")
SLOWEST_HZ, FASTEST_HZ = 0.3, 80.0
MOST_STAMPS = 10_000
# How long a flood waits for the program to read on.
FLOOD_WAIT_S = 10.0


class Line:
    """The pseudo-terminal and the link to it; unplugged when `master` is None."""

    def __init__(self, link, buffer_bytes):
        self.link = link
        self.buffer_bytes = buffer_bytes
        self.master = self.slave = self.terminal = None
        self.lost_frames = 0
        self.received = bytearray()
        self.plug()

    def plug(self):
        if self.master is not None:
            return
        # Raw before anybody writes: a cooked terminal would echo and turn CR into LF. The slave stays open, or
        # the master would read an error as soon as the program closes its end.
        self.master, self.slave = self._another_terminal()
        tty.setraw(self.slave, termios.TCSANOW)
        os.set_blocking(self.master, False)
        self.terminal = os.ttyname(self.slave)
        # Renamed into place: a program looking on sees the old link or the new one, never none.
        fresh = f"{self.link}.{os.getpid()}"
        os.symlink(self.terminal, fresh)
        os.replace(fresh, self.link)

    def _another_terminal(self):
        """Opens a terminal of another name than the last: a device that comes back is numbered anew."""
        master, slave = os.openpty()
        if os.ttyname(slave) != self.terminal:
            return master, slave
        try:
            return os.openpty()
        finally:
            os.close(slave)
            os.close(master)

    def unplug(self):
        if self.master is None:
            return
        os.unlink(self.link)
        os.close(self.slave)
        os.close(self.master)
        self.master = self.slave = None

    def send(self, frame, always=False):
        """Sends a frame, or loses it when nobody reads; a torn end is lost as well."""
        if self.master is None:
            return
        if not always and self.buffer_bytes < self._unread() + len(frame):
            self.lost_frames += 1
            return
        try:
            if os.write(self.master, frame) < len(frame):
                self.lost_frames += 1
        except BlockingIOError:
            self.lost_frames += 1

    def receive(self):
        """Returns what the program sent since last time."""
        try:
            got = os.read(self.master, 4096)
        except OSError as error:
            if error.errno not in (errno.EIO, errno.EAGAIN):
                raise
            got = b""
        self.received += got
        return got

    def _unread(self):
        return struct.unpack("i", fcntl.ioctl(self.slave, termios.FIONREAD, b"\0" * 4))[0]


class Scale:
    """A scale at work: a pan, a shape, a rate, and what it is told to do."""

    def __init__(self, args):
        self.speed = args.speed
        self.origin = time.monotonic()
        self.line = Line(args.link, args.buffer)
        self.banner = args.banner
        self.pan = Pan(capacity_ug=round(args.capacity * 1_000_000))
        self.do_noise(0, args.seed)
        self.do_shape(args.shape, args.unit, args.division)
        self.do_rate(args.rate)
        self.do_reports(args.reports)
        self.silent = False
        self.off_until_s = None
        self.torn = False
        self.sent_frames = 0
        self.stamps = None
        self.next_s = 0.0
        self.reported = None
        self.asked = b""

    def now_s(self):
        return (time.monotonic() - self.origin) * self.speed

    # --- time goes on ----------------------------------------------------------------------

    def wait_s(self):
        """Returns the wall seconds until something is due."""
        due = self.next_s if self.off_until_s is None else self.off_until_s
        return max(0.0, (due - self.now_s()) / self.speed)

    def go_on(self):
        now = self.now_s()
        if self.off_until_s is not None:
            if now < self.off_until_s:
                return
            self.off_until_s = None
            self.pan.power_on(now)
            self.reported = None
            self.line.send(self.banner.encode())
            self.next_s = now
        if now < self.next_s:
            return
        # A reading that is late is late; it is not made up for by two at once.
        self.next_s = max(self.next_s + 1.0 / self.rate_hz, now)
        shown = self.pan.read(now)
        if not self.silent and self._is_due(shown):
            self._send(shown)

    def hear(self):
        """Answers each `W` CR with one frame, on a stream too."""
        self.asked += self.line.receive()
        while b"\r" in self.asked:
            word, _, self.asked = self.asked.partition(b"\r")
            if word.strip() == b"W" and self.off_until_s is None and not self.silent:
                self._send(self.pan.read(self.now_s()))

    def _is_due(self, shown):
        if self.reports == "stream":
            return True
        if self.reports == "polled":
            return False
        key = (shown.net_ug, shown.stable, shown.over, shown.under)
        if self.reports == "on_change":
            due = key != self.reported
            self.reported = key
            return due
        if shown.gross_ug == 0:
            self.reported = None
            return False
        if shown.stable and self.reported is None:
            self.reported = key
            return True
        return False

    def _frame(self, shown):
        return SHAPES[self.shape](shown, self.division, self.options)

    def _send(self, shown, always=False):
        frame = self._frame(shown)
        if self.torn:
            self.torn = False
            frame = frame[: len(frame) // 2]
        self.line.send(frame, always)
        self.sent_frames += 1
        if self.stamps is not None:
            self.stamps.append((shown.net_ug, time.time() * 1000.0))

    # --- the hands -------------------------------------------------------------------------

    def do_load(self, jar_ug, contents_ug=0):
        self.pan.load(jar_ug, contents_ug)

    def do_pour(self, amount_ug, flow_ug_per_s=None):
        if flow_ug_per_s is not None and flow_ug_per_s <= 0:
            raise ValueError("a flow is more than nothing")
        self.pan.pour(amount_ug, flow_ug_per_s, self.now_s())

    def do_stop(self):
        self.pan.stop_pouring(self.now_s())

    def do_take(self, amount_ug):
        self.pan.take(amount_ug)

    def do_beside(self, load_ug):
        self.pan.beside_ug = load_ug

    def do_lift(self):
        self.pan.jar_on = False

    def do_back(self):
        self.pan.jar_on = True

    def do_tap(self, push_ug, for_s=0.2, after_s=0):
        self.pan.tap(push_ug, for_s, self.now_s() + after_s)

    def do_tare(self):
        self.pan.press_tare(self.now_s())

    def do_zero(self):
        self.pan.press_zero(self.now_s())

    # --- the scale -------------------------------------------------------------------------

    def do_power_cycle(self, off_s=0.5):
        self.off_until_s = self.now_s() + off_s

    def do_silence(self):
        self.silent = True

    def do_resume(self):
        self.silent = False

    def do_unplug(self):
        self.line.unplug()

    def do_replug(self):
        self.line.unplug()
        self.line.plug()
        self.asked = b""
        return {"terminal": self.line.terminal}

    def do_backlog(self, frames):
        for _ in range(frames):
            self._send(self.pan.read(self.now_s()), always=True)

    def do_garbage(self, hex=None, bytes=None, seed=1):
        if (hex is None) == (bytes is None):
            raise ValueError("say either hex or bytes")
        junk = random.Random(seed).randbytes(bytes) if hex is None else bytearray.fromhex(hex)
        self.line.send(junk, always=True)

    def do_flood(self, hex, bytes):
        some = bytearray.fromhex(hex) * (4096 // (len(hex) // 2))
        left = bytes
        while 0 < left:
            _, ready, _ = select.select([], [self.line.master], [], FLOOD_WAIT_S)
            if not ready:
                raise ValueError(f"nobody reads any more, {left} bytes are left")
            left -= os.write(self.line.master, some[:left])

    def do_tear(self):
        self.torn = True

    def do_spike(self, by_ug, count=1):
        self.pan.spike(by_ug, count)

    def do_noise(self, sigma_ug, seed=1):
        self.pan.make_noise(sigma_ug, seed)

    def do_drift(self, ug_per_s):
        self.pan.creep(ug_per_s, self.now_s())

    def do_response(self, s):
        self.pan.response_s = s

    def do_tracking(self, on):
        self.pan.tracking = on

    def do_under(self, below_ug):
        self.pan.under_ug = below_ug

    def do_rate(self, hz):
        if not SLOWEST_HZ <= hz <= FASTEST_HZ:
            raise ValueError(f"a rate is {SLOWEST_HZ} to {FASTEST_HZ} Hz")
        self.rate_hz = hz
        self.next_s = self.now_s()

    def do_reports(self, how):
        if how not in REPORTS:
            raise ValueError(f"reports are {', '.join(REPORTS)}")
        self.reports = how
        self.reported = None

    def do_shape(self, name=None, unit=None, division=None, **options):
        shape = self.shape if name is None else name
        if shape not in SHAPES:
            raise ValueError(f"shapes are {', '.join(SHAPES)}")
        unit = self.division.unit if unit is None else unit
        division = self.division_text if division is None else division
        parsed = Division.parse(division, unit)
        # Tried out first: a shape that cannot show this division is refused here, not in the middle of a stream.
        SHAPES[shape](Pan(division_ug=parsed.ug).read(0.0), parsed, options)
        self.shape, self.division, self.division_text, self.options = shape, parsed, division, options
        self.pan.division_ug = parsed.ug

    # --- asking ----------------------------------------------------------------------------

    def do_truth(self):
        now, pan = self.now_s(), self.pan
        return {
            "pours": [
                {
                    "started_s": pour.started_s,
                    "amount_ug": pour.amount_ug,
                    "arrived_ug": pour.arrived_ug(now),
                    "in_hand": pour.in_hand,
                }
                for pour in pan.pours
            ],
            "jar_ug": pan.jar_ug,
            "jar_on": pan.jar_on,
            "contents_ug": pan.contents_ug(now),
            "taken_ug": pan.taken_ug,
            "load_ug": pan.load_ug(now),
            "zero_ug": pan.zero_ug,
            "tare_ug": pan.tare_ug,
            "division_ug": pan.division_ug,
            "sent_frames": self.sent_frames,
            "lost_frames": self.line.lost_frames,
            "received_hex": self.line.received.hex(),
            "terminal": self.line.terminal,
        }

    def do_poll(self):
        return {"frame_hex": self._frame(self.pan.read(self.now_s())).hex()}

    def do_stamps(self):
        before, self.stamps = self.stamps, collections.deque(maxlen=MOST_STAMPS)
        return {"stamps": list(before or ())}

    def obey(self, text):
        """Carries out one line and returns the answer to it."""
        try:
            command = json.loads(text)
            name = command.pop("do")
            todo = getattr(self, f"do_{name}", None)
            if todo is None:
                raise ValueError(f"nothing is called {name!r}")
            answer = todo(**command) or {}
        except (ValueError, TypeError, KeyError, AttributeError, OSError) as error:
            return {"ok": False, "error": f"{type(error).__name__}: {error}"}
        return {"ok": True, "at_s": self.now_s(), **answer}


def say(answer):
    print(json.dumps(answer), flush=True)


def serve(scale):
    """Runs until standard input ends."""
    pending = b""
    while True:
        sources = [sys.stdin.fileno()]
        if scale.line.master is not None:
            sources.append(scale.line.master)
        ready, _, _ = select.select(sources, [], [], scale.wait_s())
        # The hands come first, so that a reading after an answer shows what was answered.
        if sys.stdin.fileno() in ready:
            got = os.read(sys.stdin.fileno(), 65536)
            if not got:
                return
            *lines, pending = (pending + got).split(b"\n")
            for text in lines:
                say(scale.obey(text))
        if scale.line.master is not None and scale.line.master in ready:
            scale.hear()
        scale.go_on()


def arguments():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("link")
    parser.add_argument("--shape", default="head", choices=SHAPES)
    parser.add_argument("--unit", default="g")
    parser.add_argument("--division", default="0.1")
    parser.add_argument("--rate", type=float, default=10.0)
    parser.add_argument("--reports", default="stream", choices=REPORTS)
    parser.add_argument("--capacity", type=float, default=5000.0, help="grams")
    parser.add_argument("--speed", type=float, default=1.0)
    parser.add_argument("--buffer", type=int, default=4095)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--banner", default="bench balance, self test passed\r\n")
    return parser.parse_args()


def main():
    scale = Scale(arguments())
    say({"ok": True, "ready": True, "link": scale.line.link, "terminal": scale.line.terminal})
    try:
        serve(scale)
    except (BrokenPipeError, KeyboardInterrupt):
        pass  # Whoever drove the double is gone.
    finally:
        scale.line.unplug()


if __name__ == "__main__":
    main()
