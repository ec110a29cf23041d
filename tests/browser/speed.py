"""Measuring the page from inside: when something is painted, what moves, what was fetched."""

import statistics

from browser import Browser

# Set before the page's own scripts. A frame is drawn after the callbacks of its animation frame; a message sent from there
# arrives once that is done.
PAINTED = """
  window.painted = (then) => requestAnimationFrame(() => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => then();
    port2.postMessage(null);
  });
"""

FIRST_VIEW = f"""{PAINTED}
  new MutationObserver((_, observer) => {{
    const saying = document.getElementById("saying");
    if (!saying?.textContent || !saying.checkVisibility()) return;
    observer.disconnect();
    window.painted(() => {{ window.firstView = performance.now(); document.documentElement.dataset.seen = ""; }});
  }}).observe(document, {{ subtree: true, childList: true, characterData: true, attributes: true }});
"""

WEIGHT = """() => {
  const all = [...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")];
  return all.reduce((sum, entry) => sum + entry.transferSize, 0);
}"""

SHIFTS = """() => {
  window.shifts = [];
  new PerformanceObserver((list) => {
    for (const { value, sources } of list.getEntries())
      window.shifts.push([value, sources.map(({ node }) => node?.id || node?.className || node?.nodeName)]);
  }).observe({ type: "layout-shift", buffered: false });
}"""

# Keeps of each figure when it was painted first, by the wall's clock in milliseconds.
FIGURES = f"""() => {{
  {PAINTED}
  const figure = document.querySelector("#figure text");
  window.figures = new Map();
  new MutationObserver(() => {{
    window.painted(() => {{
      const shown = figure.textContent;
      if (!window.figures.has(shown)) window.figures.set(shown, performance.timeOrigin + performance.now());
    }});
  }}).observe(figure, {{ childList: true }});
}}"""


def first_views(link, state, times=5):
    """Returns milliseconds from going there to the first words being painted, and bytes fetched; nothing is kept between."""
    views = []
    for _ in range(times):
        with Browser.get().visitor(storage_state=state) as visitor:
            visitor.context.add_init_script(FIRST_VIEW)
            visitor.page.goto(link)
            visitor.page.locator("html[data-seen]").wait_for()
            # All that was asked for has come by now: the first words are the service's.
            visitor.page.wait_for_load_state("load")
            views.append((visitor.page.evaluate("window.firstView"), visitor.page.evaluate(WEIGHT)))
    return statistics.median(view for view, _ in views), max(weight for _, weight in views)


def late(bench, page, tare_ug, seconds, rate_hz):
    """Pours for so long and returns how many milliseconds each figure was painted after its reading had been written.

    A figure is a reading's own, since no two are alike; one that was overtaken before a frame was drawn is none.
    """
    bench.scale.tell("rate", hz=rate_hz)
    page.evaluate(FIGURES)
    bench.scale.tell("stamps")
    # More than a division from each reading to the next.
    step_ug = 2 * bench.scale.tell("truth")["division_ug"]
    bench.scale.tell("pour", amount_ug=round(step_ug * rate_hz * seconds), flow_ug_per_s=round(step_ug * rate_hz))
    bench.wait_poured()
    shown(page, bench, tare_ug)
    written = {}
    for net_ug, wall_ms in bench.scale.tell("stamps")["stamps"]:
        written.setdefault(f"{(net_ug - tare_ug) / 1_000_000:.2f}", wall_ms)
    painted = dict(page.evaluate("[...window.figures]"))
    return sorted(painted[shown] - written[shown] for shown in painted.keys() & written.keys())


def shown(page, bench, tare_ug):
    """Waits until the page has drawn what lies on the pan now."""
    net_ug = bench.scale.tell("truth")["load_ug"] - tare_ug
    page.locator(f"#figure text:text-is('{net_ug / 1_000_000:.2f}')").wait_for()
    frames(page)


def frames(page):
    """Waits until what was changed until now has been drawn."""
    page.evaluate("new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)))")


def at(late_ms, share):
    return late_ms[min(len(late_ms) - 1, round(share * len(late_ms)))]
