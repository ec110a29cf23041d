"""A person's home made for one test, and the programs that run in it."""

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import tempfile
from pathlib import Path

from waiting import LIMIT_S, wait_for

REPOSITORY = Path(__file__).resolve().parents[2]


class Refused(Exception):
    """The service refused a request."""


class Home:
    """A temporary home: nothing of the real one is seen, nothing is left behind."""

    def __init__(self):
        self._folder = tempfile.TemporaryDirectory(prefix="tarehand-")
        self.path = Path(self._folder.name)
        self.environment = {"PATH": "/usr/local/bin:/usr/bin:/bin", "LANG": "C.UTF-8", "TZ": "UTC", "HOME": str(self.path)}
        for variable, name in (
            ("XDG_CONFIG_HOME", "config"), ("XDG_DATA_HOME", "data"), ("XDG_STATE_HOME", "state"), ("XDG_RUNTIME_DIR", "run"),
        ):
            (self.path / name).mkdir(mode=0o700)
            self.environment[variable] = str(self.path / name)
        self.socket = self.path / "run/tarehand/service.socket"

    def tarehand(self, *arguments):
        """Runs the command line to its good end and returns what it said."""
        command = [os.environ["TAREHAND_BIN"], *arguments]
        done = subprocess.run(
            command, env=self.environment, cwd=self.path, stdin=subprocess.DEVNULL, capture_output=True, text=True,
            timeout=LIMIT_S, check=False,
        )
        if done.returncode != 0:
            raise AssertionError(f"{' '.join(command)} ended with {done.returncode}: {done.stdout}{done.stderr}")
        return done.stdout

    def leave(self):
        self._folder.cleanup()


class Service:
    """The service in a home; `cut_off` and `start` are a power cut and what comes after it."""

    def __init__(self, home, clock_rate=1):
        self.home = home
        self.clock_rate = clock_rate
        self.said = open(home.path / "service.log", "wb")
        self.start()

    def start(self):
        self.process = subprocess.Popen(
            [os.environ["TAREHANDD_BIN"], "--clock-rate", str(self.clock_rate)],
            env=self.home.environment, cwd=self.home.path, stdin=subprocess.DEVNULL, stderr=self.said,
        )
        wait_for("the service to answer", self._answers)

    def _answers(self):
        if self.process.poll() is not None:
            raise AssertionError(f"the service ended with {self.process.returncode}: {self.log()}")
        return self.ask("GET", "/v1/status")

    def log(self):
        return (self.home.path / "service.log").read_text(encoding="utf-8", errors="replace")

    def ask(self, method, path, message=None):
        """Asks as the owner does, by the socket."""
        line = http.client.HTTPConnection("localhost", timeout=LIMIT_S)
        line.sock = socket.socket(socket.AF_UNIX)
        line.sock.settimeout(LIMIT_S)
        try:
            line.sock.connect(str(self.home.socket))
            body = None if message is None else json.dumps(message)
            line.request(method, path, body, {} if body is None else {"Content-Type": "application/json"})
            answer = line.getresponse()
            said = answer.read()
        finally:
            line.close()
        if answer.status >= 400:
            raise Refused(f"{method} {path}: {answer.status} {said.decode()}")
        return json.loads(said) if said else {}

    def cut_off(self):
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(LIMIT_S)

    def end(self):
        if self.process.poll() is None:
            self.cut_off()
        self.said.close()


class Scale:
    """The double of a scale on a serial line; its commands stand at the head of tests/doubles/scale.py."""

    def __init__(self, link, rate_hz=10, speed=1, division="0.1"):
        self.link = str(link)
        self.process = subprocess.Popen(
            [sys.executable, REPOSITORY / "tests/doubles/scale.py", self.link,
             f"--rate={rate_hz}", f"--speed={speed}", f"--division={division}"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )
        self._answer("to get ready")

    def tell(self, what, **more):
        print(json.dumps({"do": what, **more}), file=self.process.stdin, flush=True)
        return self._answer(what)

    def _answer(self, what):
        text = self.process.stdout.readline()
        answer = json.loads(text) if text else {}
        if not answer.get("ok"):
            raise AssertionError(f"the scale was told {what} and answered {text!r}")
        return answer

    def end(self):
        self.process.stdin.close()
        try:
            self.process.wait(LIMIT_S)
        finally:
            self.process.kill()
            self.process.stdout.close()
