#!/usr/bin/env python3
"""Drives the real service as somebody with bad intent and the right token would: it answers, by its own document.

The outside reference is PyPI `schemathesis`, which makes requests from the OpenAPI document that the service serves
and compares each answer with it: no 5xx, documented status codes, content types and bodies, and refused what the
document does not allow. What no document can say is sent by hand. TAREHANDD_BIN names the service.
"""

import http.client
import json
import os
import re
import select
import signal
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from verdict import Verdict

CHECKS = (
    "not_a_server_error",
    "status_code_conformance",
    "content_type_conformance",
    "response_schema_conformance",
    "negative_data_rejection",
    "unsupported_method",
)
# Endless streams cannot be compared with a schema, a service told to stop would stop, the page would open to the room, and
# random paths would name folders and files of this machine.
LEFT_OUT = r"/events$|/readings$|/bytes$|/stop$|/v1/page$|/v1/folder$|/v1/log/copies$"
MOST_KIB = 96 * 1024  # In the debug build, with thousands of batches asked for.
LIMIT_S = 20.0


class Service:
    """The service in a temporary home, on a free port of loopback."""

    def __init__(self, home):
        self.home = home
        environment = {"PATH": "/usr/local/bin:/usr/bin:/bin", "LANG": "C.UTF-8", "HOME": str(home)}
        for name in ("CONFIG_HOME", "DATA_HOME", "STATE_HOME", "RUNTIME_DIR"):
            folder = home / name.lower()
            folder.mkdir(mode=0o700)
            environment[f"XDG_{name}"] = str(folder)
        self.said = b""
        self.process = subprocess.Popen(
            [os.environ["TAREHANDD_BIN"], "--loopback", "127.0.0.1:0"],
            env=environment,
            cwd=home,
            stderr=subprocess.PIPE,
        )
        found = self._wait_for_line(rb"address=127\.0\.0\.1:(\d+)")
        self.port = int(found.group(1))
        self._wait_for_line(rb"ready")
        token = home / "runtime_dir" / "tarehand" / "loopback.token"
        self.token = token.read_text(encoding="ascii").strip()

    def _wait_for_line(self, pattern):
        limit = time.monotonic() + LIMIT_S
        while not (found := re.search(pattern, self.said)):
            ready, _, _ = select.select([self.process.stderr], [], [], max(0.0, limit - time.monotonic()))
            got = os.read(self.process.stderr.fileno(), 65536) if ready else b""
            if not got:
                raise SystemExit(f"the service did not say {pattern!r}: {self.said.decode()}")
            self.said += re.sub(rb"\x1b\[[0-9;]*m", b"", got)
        return found

    def hear(self):
        """Takes in what it said meanwhile, so that it never waits for a reader."""
        while select.select([self.process.stderr], [], [], 0)[0]:
            got = os.read(self.process.stderr.fileno(), 65536)
            if not got:
                return
            self.said += got

    def ask(self, method, path, body=None, headers=None):
        """Returns status, content type and body of one request."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=LIMIT_S)
        try:
            all_headers = {"Authorization": f"Bearer {self.token}"}
            if body is not None:
                all_headers["Content-Type"] = "application/json"
            connection.request(method, path, body, all_headers | (headers or {}))
            answer = connection.getresponse()
            return answer.status, answer.headers.get_content_type(), answer.read()
        finally:
            connection.close()

    def connect(self):
        return socket.create_connection(("127.0.0.1", self.port), timeout=LIMIT_S)

    def send_raw(self, head, body=b""):
        """Sends bytes as they are and returns the status answered, or None when the door was shut."""
        with self.connect() as line:
            line.sendall(head + body)
            try:
                status = line.makefile("rb").readline().split(b" ")
            except ConnectionResetError:
                return None
        return int(status[1]) if 1 < len(status) else None

    def rss_kib(self):
        status = Path(f"/proc/{self.process.pid}/status").read_text(encoding="ascii")
        return int(re.search(r"VmRSS:\s+(\d+) kB", status).group(1))

    def stop(self):
        self.process.send_signal(signal.SIGTERM)
        try:
            return self.process.wait(LIMIT_S)
        finally:
            self.process.kill()
            self.hear()


def by_the_document(verdict, service):
    """Lets schemathesis loose; every operation it drove is a check."""
    report = service.home / "report.ndjson"
    run = subprocess.run(
        [
            str(Path(sys.executable).with_name("st")), "run", f"http://127.0.0.1:{service.port}/v1/openapi.json",
            "--header", f"Authorization: Bearer {service.token}",
            "--exclude-path-regex", LEFT_OUT,
            "--checks", ",".join(CHECKS),
            "--phases", "examples,coverage,fuzzing",
            "--max-examples", "40", "--max-time", "40", "--request-timeout", "10", "--seed", "1",
            "--continue-on-failure", "--no-color",
        ],
        cwd=service.home,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=180,
        check=False,
    )
    service.hear()
    if run.returncode != 0:
        print(run.stdout)
    tested = re.search(r"Tested: (\d+)", run.stdout) or re.search(r"(\d+) passed", run.stdout)
    verdict.check("the document and the service", run.returncode, 0)
    verdict.check("something was driven", tested is not None and 0 < int(tested.group(1)), True)


def problem(verdict, what, answer, statuses):
    """A refusal is a problem document (RFC 9457) whose status is the answer's own."""
    status, kind, body = answer
    verdict.check(f"{what}: status {status}", status in statuses, True)
    verdict.check(f"{what}: content type", kind, "application/problem+json")
    verdict.check(f"{what}: status in the document", json.loads(body).get("status"), status)


def by_hand(verdict, service):
    """What no document can say."""
    check = "/v1/recipes/check"
    recipe = {"recipes": {"a": "[recipe]\nname = 'a'\n"}}
    problem(verdict, "an unknown field", service.ask("POST", check, json.dumps(recipe | {"b": 1})), {422})
    problem(verdict, "no JSON", service.ask("POST", check, "{"), {422})
    problem(verdict, "invalid UTF-8", service.ask("POST", check, b'{"recipes": {"a": "\xff\xfe"}}'), {422})
    problem(verdict, "half a surrogate", service.ask("POST", check, b'{"recipes": {"a": "\\ud800"}}'), {422})
    deep = b'{"recipes": ' + b"[" * 100_000 + b"]" * 100_000 + b"}"
    problem(verdict, "deep nesting", service.ask("POST", check, deep), {422})
    problem(verdict, "deep nesting in TOML", service.ask(
        "POST", "/v1/benches/a/batch",
        json.dumps({"recipe": "a", "recipes": {"a": "a = " + "[" * 50_000}, "size": "as-written"}),
    ), {404, 422})
    status, _, body = service.ask("POST", check, json.dumps({"recipes": {"a": "a = " + "[" * 50_000}}))
    verdict.check(f"deep nesting in a recipe {status} {body[:80]}", status in {200, 422}, True)
    large = json.dumps({"recipes": {"a": "#" * (2 * 1024 * 1024)}})
    problem(verdict, "a large body", service.ask("POST", check, large), {413})
    problem(verdict, "another content type",
            service.ask("POST", check, "a=b", {"Content-Type": "application/x-www-form-urlencoded"}), {415})
    for path in ("/v1/../../etc/passwd", "/v1/benches/%2e%2e%2f%2e%2e", "/v1/batches/%00", "/v1/batches/..%2f..",
                 "//etc/passwd", "/v1/benches/" + "a" * 5_000, "/v1/benches/%ff%fe", "/v1/batches/%27%3B--"):
        problem(verdict, f"path {path[:40]}", service.ask("GET", path), {404, 422})
    problem(verdict, "an endless name", service.ask("PUT", "/v1/benches/" + "a" * 500 + "/scale",
                                                     json.dumps({"port": "/dev/null"})), {422})
    problem(verdict, "no token", service.ask("GET", "/v1/status", headers={"Authorization": "Bearer no"}), {401})
    problem(verdict, "another host", service.ask("GET", "/v1/status", headers={"Host": "evil.test"}), {403})
    get = b"GET /v1/status HTTP/1.1\r\nhost: localhost\r\nauthorization: Bearer " + service.token.encode()
    verdict.check("an honest raw request", service.send_raw(get + b"\r\n\r\n"), 200)
    verdict.check("a header line without end", service.send_raw(get + b"\r\nx: " + b"a" * 1_000_000) in {400, 431, None}, True)
    verdict.check("a thousand headers", service.send_raw(
        get + b"".join(b"\r\nx%d: a" % number for number in range(1_000)) + b"\r\n\r\n") in {400, 431, None}, True)
    verdict.check("no HTTP at all", service.send_raw(b"\x16\x03\x01\x02\x00" * 40 + b"\r\n\r\n") in {400, None}, True)
    verdict.check("a length that is none", service.send_raw(get + b"\r\ncontent-length: -1\r\n\r\n") in {400, None}, True)
    verdict.check("two lengths", service.send_raw(
        get + b"\r\ncontent-length: 1\r\ncontent-length: 2\r\n\r\nab") in {400, None}, True)
    for number in range(60):
        status, kind, body = service.ask("PUT", f"/v1/benches/many-{number}/scale", json.dumps({"port": "/dev/null"}))
        if status != 200:
            problem(verdict, "one bench too many", (status, kind, body), {409})
            break
    else:
        verdict.check("benches have a limit", False, True)


def many_at_once(verdict, service):
    """Thousands of lines are held open, some in the middle of a request; an honest one is served all the same."""
    half = b"POST /v1/recipes/check HTTP/1.1\r\nhost: localhost\r\ncontent-length: 100\r\n"
    lines = []
    try:
        for number in range(3_000):
            line = socket.socket()
            line.settimeout(LIMIT_S)
            try:
                line.connect(("127.0.0.1", service.port))
                line.sendall(half[: number % len(half)])
            except OSError:
                # Turned away is as good as served; it must only not be the end of the service.
                pass
            lines.append(line)
        open_files = len(os.listdir(f"/proc/{service.process.pid}/fd"))
        verdict.check(f"open lines are bounded, {open_files} files are open", open_files < 1_000, True)
        status, _, _ = service.ask("GET", "/v1/status")
        verdict.check("an honest request while thousands are held", status, 200)
    finally:
        for line in lines:
            line.close()
    verdict.check("an honest request afterwards", service.ask("GET", "/v1/status")[0], 200)


def main():
    verdict = Verdict("hostile")
    with tempfile.TemporaryDirectory(prefix="tarehand-") as home:
        service = Service(Path(home))
        try:
            by_the_document(verdict, service)
            by_hand(verdict, service)
            many_at_once(verdict, service)
            rss = service.rss_kib()
            verdict.check(f"memory is bounded, {rss} KiB", rss < MOST_KIB, True)
        finally:
            code = service.stop()
        verdict.check("it stopped as told", code, 0)
        verdict.check("no panic", b"panicked" in service.said, False)
    return verdict.exit_code()


if __name__ == "__main__":
    sys.exit(main())
