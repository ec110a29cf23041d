"""How an indication looks on the wire, one function a shape.

Shapes are told by form. Where a form leaves something open (what a head says without a weight, how a negative
number is padded) the choice made here is written beside it; status bits are common practice, from memory.
"""

from dataclasses import dataclass
from fractions import Fraction

# One unit in micrograms, exact: international yard and pound agreement (1959).
UNITS_UG = {
    "mg": Fraction(1_000),
    "g": Fraction(1_000_000),
    "kg": Fraction(1_000_000_000),
    "oz": Fraction(28_349_523_125, 1_000),
    "lb": Fraction(453_592_370),
    "ozt": Fraction(311_034_768, 10),
    "ct": Fraction(200_000),
    "gr": Fraction(6_479_891, 100),
}


@dataclass(frozen=True)
class Division:
    """The division as asked for: digits as text, and its unit."""

    step: Fraction
    decimals: int
    unit: str

    @classmethod
    def parse(cls, text, unit):
        if unit not in UNITS_UG:
            raise ValueError(f"unknown unit {unit!r}; known are {', '.join(UNITS_UG)}")
        step = Fraction(text)
        if step <= 0:
            raise ValueError("a division is more than nothing")
        decimals = len(text.partition(".")[2])
        return cls(step, decimals, unit)

    @property
    def ug(self):
        """The division in micrograms, rounded once; the pan rounds to it."""
        return max(1, round(self.step * UNITS_UG[self.unit]))

    def digits(self, ug):
        """The number as shown, a whole count of its last digit."""
        steps = round(Fraction(ug) / UNITS_UG[self.unit] / self.step)
        shown = steps * self.step * 10**self.decimals
        if shown.denominator != 1:
            raise ValueError("the division has more digits than it was written with")
        return shown.numerator

    def text(self, ug):
        """`12.30`, without a sign."""
        digits = str(abs(self.digits(ug))).rjust(self.decimals + 1, "0")
        if self.decimals == 0:
            return digits
        return f"{digits[:-self.decimals]}.{digits[-self.decimals:]}"

    def sign(self, ug):
        return "-" if self.digits(ug) < 0 else "+"


def _blank_or_minus(ug, division):
    return "-" if division.sign(ug) == "-" else ""


def head(shown, division, options):
    """`ST,GS,+   12.30 g` CR LF: ST stable, US moving, OL no weight; GS gross, NT net once tare was pressed."""
    tared = shown.tare_ug != 0
    state = "OL" if shown.over or shown.under else "ST" if shown.stable else "US"
    basis = "NT" if tared else "GS"
    value = shown.net_ug if tared else shown.gross_ug
    sign = "-" if shown.under else "+" if shown.over else division.sign(value)
    number = "" if state == "OL" else division.text(value)
    padded = number.rjust(8, "0" if options.get("pad") == "zeros" and number else " ")
    return f"{state},{basis},{sign}{padded}{division.unit:>2}\r\n".encode()


def status(shown, division, options):
    """STX, 3 status bytes, 6 digits weight, 6 digits tare, CR, check.

    Status A: bits 0-2 the decimal point (2 = none, 3 = one decimal …), bits 3-4 the step 1, 2 or 5, bit 5 set.
    Status B: bit 0 net, 1 negative, 2 out of range, 3 moving, 4 kilogram, 5 set, 6 power-on zero not taken.
    Status C: bits 0-2 1 = gram, 3 = ounce, 0 = as bit 4 of B says; bit 5 set. The check brings the 7-bit sum of
    the whole frame to nothing.
    """
    tared = shown.tare_ug != 0
    value = shown.net_ug if tared else shown.gross_ug
    out = shown.over or shown.under
    step = {"1": 1, "2": 2, "5": 3}.get(str(division.step.numerator)[0], 1)
    unit_codes = {"g": 1, "oz": 3, "kg": 0, "lb": 0}
    if division.unit not in unit_codes:
        raise ValueError("this shape knows g, kg, lb and oz")
    a = 0x20 | step << 3 | min(7, 2 + division.decimals)
    b = 0x20 | tared | (division.digits(value) < 0) << 1 | out << 2 | (not shown.stable) << 3
    b |= (division.unit == "kg") << 4 | (not shown.zeroed) << 6
    c = 0x20 | unit_codes[division.unit]
    weight = "" if out else str(abs(division.digits(value)))
    tare = str(division.digits(shown.tare_ug))
    if 6 < len(weight) or 6 < len(tare):
        raise ValueError("more than six digits")
    frame = bytes([0x02, a, b, c]) + f"{weight:>6}{tare:>6}\r".encode()
    if options.get("check", True):
        frame += bytes([-sum(byte & 0x7F for byte in frame) & 0x7F])
    return frame


def polled(shown, division, options):
    """LF, weight, unit, CR, two status bytes, ETX.

    First byte: bit 0 moving, bit 1 at zero, bits 4 and 5 set; second: bit 0 under, bit 1 over, bits 4 and 5 set.
    Over is `^^^^`, under `____`, a lost power-on zero `----` in place of the digits.
    """
    value = shown.net_ug
    number = f"{_blank_or_minus(value, division)}{division.text(value)}".rjust(8)
    if shown.over:
        number = "    ^^^^"
    elif shown.under:
        number = "    ____"
    elif not shown.zeroed:
        number = "    ----"
    first = 0x30 | (not shown.stable) | (division.digits(value) == 0) << 1
    second = 0x30 | shown.under | shown.over << 1
    return f"\n{number}{division.unit.upper()}\r".encode() + bytes([first, second, 0x03])


def tagged(shown, division, options):
    """14 bytes `:W 118.70kgS ` CR: S stable, U moving, O no weight; the sign stands in the place of the blank."""
    value = shown.net_ug
    out = shown.over or shown.under
    number = "-" * 6 if out else division.text(value).rjust(6)
    if 6 < len(number) or 2 < len(division.unit):
        raise ValueError("this shape has six characters for the number and two for the unit")
    sign = "-" if division.sign(value) == "-" and not out else " "
    motion = "O" if out else "S" if shown.stable else "U"
    return f":W{sign}{number}{division.unit:>2}{motion} \r".encode()


def bare(shown, division, options):
    """`12.30` CR LF, and nothing else; without a weight an exact zero, as one documented shape sends it."""
    value = 0 if shown.over or shown.under else shown.net_ug
    return f"{_blank_or_minus(value, division)}{division.text(value)}\r\n".encode()


def steady_unit(shown, division, options):
    """`+   12.30 g  ` CR LF when stable, the unit blank while moving; without a weight the digits are blank too."""
    out = shown.over or shown.under
    number = "" if out else division.text(shown.net_ug)
    unit = division.unit if shown.stable and not out else ""
    return f"{division.sign(shown.net_ug)}{number:>8} {unit:<3}\r\n".encode()


def stranger(shown, division, options):
    """`w=0012.30;m=1#` CR: a line of nobody's documents; m is 1 while it moves. Without a weight the digits are dashes."""
    out = shown.over or shown.under
    number = "-------" if out else f"{division.text(shown.net_ug):0>7}"
    sign = "-" if division.sign(shown.net_ug) == "-" and not out else "+"
    return f"w={sign}{number};m={int(not shown.stable)}#\r".encode()


def pair(shown, division, options):
    """`a0012.30:b0012.35` CR LF: b is a little more than the weight, and far more between 300 and 400 g."""
    value = shown.net_ug
    other = value + 20_000_000 if 300_000_000 < value < 400_000_000 else value * 1004 // 1000
    a, b = (f"{division.text(ug):0>7}" for ug in (value, other // division.ug * division.ug))
    return f"a{a}:b{b}\r\n".encode()


def bits(shown, division, options):
    """8 bytes: A5 5A, flags, 24 bits of divisions with the least byte first and two's complement, a counter, a sum.

    Flags: bit 0 moving, bit 7 out of range, with which the weight is 7FFFFF. The sum is that of the seven before.
    """
    global bits_sent
    bits_sent = (bits_sent + 1) % 256
    out = shown.over or shown.under
    steps = 0x7FFFFF if out else round(Fraction(shown.net_ug) / UNITS_UG[division.unit] / division.step)
    flags = (not shown.stable) | out << 7
    frame = bytes([0xA5, 0x5A, flags]) + steps.to_bytes(3, "little", signed=True) + bytes([bits_sent])
    return frame + bytes([sum(frame) & 0xFF])


bits_sent = 0

SHAPES = {
    "stranger": stranger,
    "pair": pair,
    "bits": bits,
    "head": head,
    "status": status,
    "polled": polled,
    "tagged": tagged,
    "bare": bare,
    "steady-unit": steady_unit,
}
