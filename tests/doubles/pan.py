"""What really lies on the pan, and what the scale's inside makes of it.

Pure: time comes in as a value (seconds, only ever growing), mass is whole micrograms, chance has a seed.
Nothing here knows of lines, bytes or units.
"""

import collections
import math
import random
from dataclasses import dataclass, field

OVER_DIVISIONS = 9  # OIML R 76: nothing is shown above the maximum plus 9 e.
TRACKING_DIVISIONS_PER_S = 0.5  # OIML R 76: zero tracking takes at most half a division a second.
POWER_ON_SHARE = 5  # OIML R 76: power-on zeroing takes at most a fifth (20 %) of the maximum.
STABLE_FOR_S = 1.0  # Published default of indicators: within one division for a second.


@dataclass
class Pour:
    """So much liquid, arriving at a flow from a moment on; a flow of None means at once."""

    started_s: float
    amount_ug: int
    flow_ug_per_s: int | None
    in_hand: bool
    """Whether the jar was off the pan when the stream began."""

    def arrived_ug(self, now_s):
        if self.flow_ug_per_s is None:
            return self.amount_ug
        arrived = math.floor((now_s - self.started_s) * self.flow_ug_per_s)
        return max(0, min(self.amount_ug, arrived))


@dataclass
class Tap:
    """A finger on the pan for a moment."""

    from_s: float
    until_s: float
    push_ug: int


@dataclass(frozen=True)
class Indication:
    """What the scale shows at one moment."""

    gross_ug: int
    tare_ug: int
    stable: bool
    over: bool
    under: bool
    zeroed: bool

    @property
    def net_ug(self):
        return self.gross_ug - self.tare_ug


@dataclass
class Pan:
    """The physical truth and the weighing part of a scale."""

    division_ug: int = 100_000
    capacity_ug: int = 5_000_000_000
    under_ug: int | None = None
    tracking: bool = False
    noise_ug: float = 0.0
    response_s: float = 0.0

    jar_ug: int = 0
    jar_on: bool = False
    beside_ug: int = 0
    """Anything else on the pan: a stick, a cup."""

    zero_ug: int = 0
    tare_ug: int = 0
    zeroed: bool = True
    """False when the last power-on found too much on the pan to call it zero."""

    pours: list = field(default_factory=list)
    contents_at_load_ug: int = 0
    taken_ug: int = 0
    _creep: tuple = (0.0, 0.0)
    """Micrograms a second, and since when."""

    _taps: list = field(default_factory=list)
    _spikes: collections.deque = field(default_factory=collections.deque)
    _shown: collections.deque = field(default_factory=collections.deque)
    _chance: random.Random = field(default_factory=lambda: random.Random(1))
    _followed_ug: float | None = None
    _last_s: float | None = None
    _tracked_ug: float = 0.0

    # --- the hands -------------------------------------------------------------------------

    def load(self, jar_ug, contents_ug):
        """Another jar comes onto the pan, with something in it already."""
        self.jar_ug = jar_ug
        self.pours = []
        self.contents_at_load_ug = contents_ug
        self.taken_ug = 0
        self.jar_on = True

    def pour(self, amount_ug, flow_ug_per_s, now_s):
        self.pours.append(Pour(now_s, amount_ug, flow_ug_per_s, in_hand=not self.jar_on))

    def stop_pouring(self, now_s):
        """The stream is cut off: what has not arrived never will."""
        for pour in self.pours:
            pour.amount_ug = pour.arrived_ug(now_s)

    def take(self, amount_ug):
        """Something leaves the jar: residue on a stick, a spoonful of the mixture."""
        self.taken_ug += amount_ug

    def tap(self, push_ug, for_s, from_s):
        self._taps.append(Tap(from_s, from_s + for_s, push_ug))

    # --- the scale -------------------------------------------------------------------------

    def press_tare(self, now_s):
        self.tare_ug = self._round(self.load_ug(now_s) - self.zero_ug)

    def press_zero(self, now_s):
        self.zero_ug = self.load_ug(now_s)
        self.tare_ug = 0

    def power_on(self, now_s):
        """Tare is lost; what lies on the pan becomes zero if it is light enough."""
        load = self.load_ug(now_s)
        self.zeroed = abs(load) * POWER_ON_SHARE <= self.capacity_ug
        self.zero_ug = load if self.zeroed else 0
        self.tare_ug = 0
        self._shown.clear()
        self._followed_ug = None
        self._tracked_ug = 0.0

    def spike(self, by_ug, count):
        self._spikes.extend([by_ug] * count)

    def make_noise(self, sigma_ug, seed):
        self.noise_ug = sigma_ug
        self._chance = random.Random(seed)

    def creep(self, ug_per_s, now_s):
        self._creep = (ug_per_s, now_s)

    # --- the truth -------------------------------------------------------------------------

    def contents_ug(self, now_s):
        poured = sum(pour.arrived_ug(now_s) for pour in self.pours)
        return self.contents_at_load_ug + poured - self.taken_ug

    def load_ug(self, now_s):
        """What presses on the pan in truth, fingers left out."""
        jar = self.jar_ug + self.contents_ug(now_s) if self.jar_on else 0
        return jar + self.beside_ug

    # --- the reading -----------------------------------------------------------------------

    def read(self, now_s):
        """Returns what the scale shows now; its filter and zero tracking move on to now."""
        passed_s = 0.0 if self._last_s is None else now_s - self._last_s
        self._last_s = now_s
        raw = self._follow(now_s, passed_s)
        self._track_zero(raw, passed_s)
        raw -= self.zero_ug
        if self._spikes:
            raw += self._spikes.popleft()
        gross = self._round(raw)
        return Indication(
            gross_ug=gross,
            tare_ug=self.tare_ug,
            stable=self._is_stable(now_s, gross),
            over=self.capacity_ug + OVER_DIVISIONS * self.division_ug < gross,
            under=self.under_ug is not None and gross < self.under_ug,
            zeroed=self.zeroed,
        )

    def _follow(self, now_s, passed_s):
        """The converter's averaging: a first-order lag of `response_s`, with noise and drift on top."""
        self._taps = [tap for tap in self._taps if now_s < tap.until_s]
        pushed = sum(tap.push_ug for tap in self._taps if tap.from_s <= now_s)
        pressing = self.load_ug(now_s) + pushed
        if self._followed_ug is None or self.response_s == 0.0:
            self._followed_ug = float(pressing)
        else:
            share = 1.0 - math.exp(-passed_s / self.response_s)
            self._followed_ug += (pressing - self._followed_ug) * share
        noise = self._chance.gauss(0.0, self.noise_ug) if 0.0 < self.noise_ug else 0.0
        per_s, since_s = self._creep
        return round(self._followed_ug + noise + per_s * (now_s - since_s))

    def _track_zero(self, raw, passed_s):
        """Swallows a slow change near zero (with or without tare), as automatic zero tracking does."""
        shown = raw - self.zero_ug - self.tare_ug
        if not self.tracking or self.division_ug < 2 * abs(shown):
            self._tracked_ug = 0.0
            return
        most = TRACKING_DIVISIONS_PER_S * self.division_ug * passed_s + self._tracked_ug
        step = min(abs(shown), math.floor(most))
        self._tracked_ug = most - step if step < abs(shown) else 0.0
        self.zero_ug += int(math.copysign(step, shown))

    def _is_stable(self, now_s, gross):
        """All shown within one division for a second; the last older one counts, so slow scales work too."""
        self._shown.append((now_s, gross))
        while 2 < len(self._shown) and self._shown[1][0] <= now_s - STABLE_FOR_S:
            self._shown.popleft()
        values = [value for _, value in self._shown]
        long_enough = self._shown[0][0] <= now_s - STABLE_FOR_S + 1e-9
        return long_enough and max(values) - min(values) <= self.division_ug

    def _round(self, ug):
        """To the division, half to even, in whole numbers."""
        steps, rest = divmod(ug, self.division_ug)
        if self.division_ug < 2 * rest or (2 * rest == self.division_ug and steps % 2 == 1):
            steps += 1
        return steps * self.division_ug
