"""The browser, and visitors in it."""

import os
import shutil

from playwright.sync_api import sync_playwright

PHONE, TABLET, DESKTOP = (360, 740), (1024, 768), (1920, 1080)
SIZES = {"phone": PHONE, "tablet": TABLET, "desktop": DESKTOP}
SCHEMES = ("light", "dark")

# It asks nobody but the service for anything, and a machine without a screen has no other way to draw.
ARGUMENTS = [
    "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync",
]


class Browser:
    """One browser for a whole run: starting it takes longer than most tests."""

    _one = None

    def __init__(self):
        path = shutil.which("chromium")
        if path is None:
            raise SystemExit("chromium is missing: tests/run --only browser installs it")
        # Root has no sandbox of its own to give; whoever is not keeps it.
        own = ["--no-sandbox"] if os.geteuid() == 0 else []
        self._playwright = sync_playwright().start()
        self._browser = self._playwright.chromium.launch(executable_path=path, args=[*own, *ARGUMENTS])

    @classmethod
    def get(cls):
        if cls._one is None:
            cls._one = cls()
        return cls._one

    @classmethod
    def end(cls):
        if cls._one is not None:
            cls._one._browser.close()
            cls._one._playwright.stop()
            cls._one = None

    def visitor(self, size=TABLET, scheme="light", **more):
        return Visitor(self._browser, size, scheme, more)


class Visitor:
    """A browser of its own with one page, and everything that went wrong in it."""

    def __init__(self, browser, size, scheme, more):
        width, height = size
        self.context = browser.new_context(
            viewport={"width": width, "height": height}, color_scheme=scheme, locale="en-GB", **more
        )
        self.page = self.context.new_page()
        self.wrong = []
        self.page.on("pageerror", lambda error: self.wrong.append(str(error)))
        self.page.on("console", self._hear)

    def _hear(self, message):
        # A service that is away or refuses is said by the page itself.
        if message.type == "error" and "Failed to load resource" not in message.text:
            self.wrong.append(message.text)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.context.close()

    def enter(self, bench, *flags):
        """Goes where the invitation leads, and is let in."""
        self.page.goto(bench.invitation(*flags))
        self.page.locator("#bench").wait_for()
        return self.page

    def known(self):
        """Returns what lets another browser in as this one."""
        return self.context.storage_state()

    def size(self, size):
        width, height = size
        self.page.set_viewport_size({"width": width, "height": height})
