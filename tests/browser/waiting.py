"""Waiting for a condition that nobody announces: the one place that may poll."""

import time

# Guards against hanging; no result depends on it.
LIMIT_S = 30.0
PAUSE_S = 0.02


def wait_for(what, look, limit_s=LIMIT_S):
    """Returns what `look` finds; what it raises until then is told when the limit is over."""
    end_s = time.monotonic() + limit_s
    last = None
    while time.monotonic() < end_s:
        try:
            found = look()
            if found is not None and found is not False:
                return found
        except (OSError, KeyError) as error:
            last = error
        time.sleep(PAUSE_S)
    raise AssertionError(f"waited {limit_s} s in vain for {what}" + (f": {last!r}" if last else ""))
