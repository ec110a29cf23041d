#!/usr/bin/env python3
"""Holds the labels of `tarehand label` against a renderer of PDF and a reader of codes that share no code with it.

labels.py BINARY        rehearses jars with short and with very long names, and looks at their labels

pypdfium2 (the renderer of a browser) draws the pages and says where each letter is; zxing-cpp reads the codes back. Nothing
may be printed outside the inside of a label, no two lines may overlap, no text may be shortened on the way, and each code says
the mark and what the label says.
"""

import html
import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy
import pypdfium2
import zxingcpp

from verdict import Verdict

LIMIT_S = 120
DPI = 400
MM = 25.4 / 72
PAPER = 250  # what is as light counts as white

LONG = "Velvet dusk, a warm violet grey with a little copper " * 4
RECIPES = {
    "plain": ("Harbour grey, satin", [("chalk-white", "60 parts"), ("slow-medium", "40 parts")], 1),
    "long": (LONG.strip()[:200], [(f"pigment-paste-number-{n}-of-a-rather-long-name", f"{n + 3} parts") for n in range(14)], 6),
    "letters": ("Grünspan äöüß ÅÇŁ, Ночь, Ωμέγα, Ế ỹ □ <&>\"'", [("chalk-white", "1 part"), ("slow-medium", "3 parts")], 2),
}
SHEETS = {
    "usual": None,
    "round": ((210, 297), (63.5, 38.1), (3, 7), (7.2, 15.1), (2.5, 0), 2, 3),
    "small": ((210, 297), (40, 24), (5, 11), (4, 10), (0.5, 0), 1.5, 0),
    "narrow": ((105, 148), (35, 60), (2, 2), (10, 10), (5, 4), 2, 1),
}
USUAL = ((210, 297), (70, 37), (3, 8), (0, 0.5), (0, 0), 4, 0)


def toml(sheet):
    (pw, ph), (w, h), (columns, rows), (left, top), (across, down), border, corner = sheet
    return (
        f'[page]\nwidth = "{pw} mm"\nheight = "{ph} mm"\n[label]\nwidth = "{w} mm"\nheight = "{h} mm"\n'
        f'border = "{border} mm"\ncorner = "{corner} mm"\n[grid]\ncolumns = {columns}\nrows = {rows}\n'
        f'left = "{left} mm"\ntop = "{top} mm"\nacross = "{across} mm"\ndown = "{down} mm"\n'
    )


def recipe(name, parts):
    steps = "".join(f'\n[[step]]\nadd = "{key}"\namount = "{amount}"\nwithin = "20 %"\n' for key, amount in parts)
    return f'[recipe]\nname = {json.dumps(name, ensure_ascii=False)}\nmakes = "200 g"\n{steps}'


def shelf():
    text = ""
    for name, parts, many in RECIPES.values():
        for key, _ in parts:
            if f"[ingredient.{key}]" not in text:
                cautions = [f"caution {n}: keep away from heat, children and drains" for n in range(many)]
                text += f"[ingredient.{key}]\nname = {json.dumps(key.replace('-', ' ').capitalize())}\n"
                text += f"caution = {json.dumps(cautions)}\n"
    return text


class Home:
    def __init__(self, binary, folder):
        self.binary, self.folder = binary, folder
        self.env = {"PATH": "/usr/local/bin:/usr/bin:/bin", "LANG": "C.UTF-8", "TZ": "UTC", "HOME": str(folder)}
        for name in ["CONFIG_HOME", "DATA_HOME", "STATE_HOME", "RUNTIME_DIR"]:
            place = folder / name.lower()
            place.mkdir(mode=0o700)
            self.env[f"XDG_{name}"] = str(place)

    def run(self, *words):
        done = subprocess.run(
            [self.binary, *words], cwd=self.folder, env=self.env, stdin=subprocess.DEVNULL,
            capture_output=True, text=True, timeout=LIMIT_S, check=False,
        )
        if done.returncode != 0:
            raise SystemExit(f"{words}: {done.stdout}{done.stderr}")
        return done.stdout


def said(svg):
    """What each label says, by the text that stands beside its outlines: its lines, and its code."""
    labels = []
    for body in re.findall(r"^<g>(.*?)^</g>$", svg, re.S | re.M):
        texts = [(name, html.unescape(text)) for name, text in re.findall(r'aria-label="(.*?)".*?<title>(.*?)</title>', body, re.S)]
        code = [text for name, text in texts if name == "QR"]
        labels.append(([text for name, text in texts if name != "QR"], code[0] if code else None))
    return labels


def lines_of(page, height_pt):
    """The lines of a page as the renderer finds them: text, and box in mm from the upper left corner."""
    text = page.get_textpage()
    lines = []
    for index in range(text.count_chars()):
        letter = text.get_text_range(index, 1)
        if letter in "\r\n":
            continue
        left, bottom, right, top = text.get_charbox(index, loose=False)
        lines.append((letter, left * MM, (height_pt - top) * MM, right * MM, (height_pt - bottom) * MM))
    return text.get_text_range(), lines


def squeezed(text):
    return re.sub(r"\s+", "", text)


def look(verdict, what, pdf, labels, sheet, first):
    (pw, ph), (w, h), (columns, rows), (left, top), (across, down), border, corner = sheet
    inside = max(border, corner * (1 - 0.5**0.5))
    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    width_pt, height_pt = page.get_size()
    verdict.check(f"{what}: page size", (round(width_pt * MM, 2), round(height_pt * MM, 2)), (pw, ph))
    picture = page.render(scale=DPI / 72).to_numpy()
    ink = picture[..., :3].min(axis=2) < PAPER
    per_mm = DPI / 25.4
    allowed = numpy.zeros_like(ink)
    text, letters = lines_of(page, height_pt)
    everything = squeezed(text)
    used = 0
    for place, (lines, code) in enumerate(labels, first - 1):
        x = left + place % columns * (w + across)
        y = top + place // columns * (h + down)
        edges = [x + inside, y + inside, x + w - inside, y + h - inside]
        # A pixel may be touched by what ends within it.
        a, b, c, d = (int(edges[0] * per_mm), int(edges[1] * per_mm), int(edges[2] * per_mm) + 1, int(edges[3] * per_mm) + 1)
        allowed[b:d, a:c] = True
        own = [one for one in letters if x <= (one[1] + one[3]) / 2 < x + w and y <= (one[2] + one[4]) / 2 < y + h]
        used += len(own)
        verdict.check(f"{what}, {place}: text complete", squeezed("".join(lines)), squeezed("".join(one[0] for one in own)))
        outside = [one for one in own if one[1] < edges[0] - 0.02 or edges[2] + 0.02 < one[3] or one[2] < edges[1] - 0.02 or edges[3] + 0.02 < one[4]]
        verdict.check(f"{what}, {place}: letters outside", outside, [])
        verdict.check(f"{what}, {place}: lines that overlap", overlaps(lines, own), [])
        crop = numpy.ascontiguousarray(picture[int(y * per_mm):int((y + h) * per_mm), int(x * per_mm):int((x + w) * per_mm), :3])
        # Only codes of squares are looked for: asked for every kind there is, the reader takes a run of letters for bars now and
        # then (a mark and a date once read as a code that says "A-1A"), and marks are chosen by chance.
        read = [found.text for found in zxingcpp.read_barcodes(crop, formats=zxingcpp.BarcodeFormat.QRCode)]
        verdict.check(f"{what}, {place}: the code", [code] if code else [], read)
    verdict.check(f"{what}: letters that belong to no label", len([one for one in letters if one[0].strip()]) > 0 and used, len(letters))
    verdict.check(f"{what}: ink outside the labels", int((ink & ~allowed).sum()), 0)
    verdict.check(f"{what}: something is printed", bool(ink.any()) and bool(everything), True)


def overlaps(lines, letters):
    """Pairs of lines whose ink boxes overlap."""
    boxes, rest = [], [one for one in letters if one[0].strip()]
    for line in lines:
        count = len(squeezed(line))
        own, rest = rest[:count], rest[count:]
        if own:
            boxes.append((line, min(o[1] for o in own), min(o[2] for o in own), max(o[3] for o in own), max(o[4] for o in own)))
    near = 0.02
    return [
        (one[0], other[0])
        for place, one in enumerate(boxes)
        for other in boxes[:place]
        if one[1] + near < other[3] and other[1] + near < one[3] and one[2] + near < other[4] and other[2] + near < one[4]
    ]


def against_the_record(verdict, home, mark, label):
    """What the record knows is on the label or in its code, or the label says that there is more."""
    lines, code = label
    record = json.loads(home.run("log", "show", mark, "--json"))
    everything = squeezed("".join(lines) + (code or ""))
    verdict.check(f"{mark}: the mark is on it", mark in lines, True)
    if code:
        verdict.check(f"{mark}: the code begins with the mark", code.split("\n")[0], mark)
        start = record["recipe"][:20]
        verdict.check(f"{mark}: the code says the name", start in code, True)
        verdict.check(f"{mark}: the code says the day or more", record["opened"][:10] in code or "…" in code, True)
    for line in record["contents"]:
        if line["poured_g"] > 0:
            told = squeezed(line["name"]) in everything or "more" in everything or "…" in everything
            verdict.check(f"{mark}: {line['name']}", told, True)


def main():
    binary = str(Path(sys.argv[1]).resolve())
    verdict = Verdict("labels")
    with tempfile.TemporaryDirectory(prefix="tarehand-labels-") as name:
        home = Home(binary, Path(name))
        (home.folder / "shelf.toml").write_text(shelf(), encoding="utf-8")
        try:
            marks = []
            for stem, (title, parts, _) in RECIPES.items():
                (home.folder / f"{stem}.toml").write_text(recipe(title, parts), encoding="utf-8")
                home.run("rehearse", f"{stem}.toml", "--speed", "60")
                marks.append(json.loads(home.run("log", "list", "--json"))["batches"][0]["mark"])
            for stem, sheet in SHEETS.items():
                words = ["label", *marks, "--best-before", "90 days", "--yes"]
                first = 1
                if sheet:
                    (home.folder / "sheet.toml").write_text(toml(sheet), encoding="utf-8")
                    first = 2
                    words += ["--sheet", "sheet.toml", "--first", "2"]
                for says in [[], ["--shares"]]:
                    home.run(*words, *says, "-o", "labels.pdf")
                    home.run(*words, *says, "-o", "labels.svg")
                    labels = said((home.folder / "labels.svg").read_text(encoding="utf-8"))
                    verdict.check(f"{stem}: labels", len(labels), len(marks))
                    look(verdict, stem + "".join(says), home.folder / "labels.pdf", labels, sheet or USUAL, first)
                    for mark, label in zip(marks, labels):
                        against_the_record(verdict, home, mark, label)
        finally:
            home.run("stop")
    sys.exit(verdict.exit_code())


if __name__ == "__main__":
    main()
