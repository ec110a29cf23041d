"""What open pages cost the service: the processor's time of its process while they listen."""

import os
import time

from bench import BENCH, Bench
from browser import Browser

TICKS = os.sysconf("SC_CLK_TCK")
PAGES = 20


def busy_s(pid):
    """Returns the seconds of one core that a process has used (proc(5): utime and stime)."""
    with open(f"/proc/{pid}/stat", encoding="ascii") as file:
        fields = file.read().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / TICKS


def cost(bench, seconds):
    """Returns the share of one core that the service takes over so long, in percent."""
    pid, begun_s, from_s = bench.service.process.pid, time.monotonic(), busy_s(bench.service.process.pid)
    bench.wait_poured()
    passed_s = time.monotonic() - begun_s
    assert seconds / 2 < passed_s, "the pour is what it lasts for"
    return 100 * (busy_s(pid) - from_s) / passed_s


def listeners(seconds=10):
    """Pours for so long with no page open and with many; returns both costs in percent of a core."""
    costs = {}
    for pages in (0, PAGES):
        with Bench(division="0.01") as bench:
            bench.attach()
            bench.open_batch('[recipe]\nname = "Long pour"\nmakes = "900 g"\n[[step]]\nadd = "base"\namount = "900 g"\n')
            bench.put_jar()
            bench.wait_doing("pour")
            # Each by a code of its own: one visitor may not listen so often.
            visitors = [Browser.get().visitor((400, 300)) for _ in range(pages)]
            for visitor in visitors:
                visitor.enter(bench)
            for visitor in visitors:
                visitor.page.locator("#left:text('to go')").wait_for()
            bench.scale.tell("pour", amount_ug=round(5_000_000 * seconds), flow_ug_per_s=5_000_000)
            costs[pages] = cost(bench, seconds)
            assert bench.service.ask("GET", BENCH)["doing"]["what"] == "pour"
            for visitor in visitors:
                visitor.context.close()
    return costs
