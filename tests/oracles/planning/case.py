"""Random sets: pieces of every shape, recipes with premixes up to four levels deep, a shelf with films and prices."""

import random
from dataclasses import dataclass, field

LENGTHS = ("mm", "cm", "m", "in", "ft")
# How much of each unit makes a piece of a sensible size.
SIZES = {"mm": (80, 900), "cm": (8, 90), "m": (0.1, 2), "in": (3, 40), "ft": (0.3, 5)}
YIELDS = (None, "1.2 mm", "180 ml per m2", "1 fl-oz per 30 in2", "0.2 ml per cm2")


@dataclass
class Ingredient:
    """One thing on the shelf; figures as written, fractions in percent."""

    key: str
    density: str
    stock_g: str | None = None
    price: tuple[str, str] | None = None
    water: str | None = None
    solids: str | None = None
    dry_density: str | None = None
    oil: str | None = None


@dataclass
class Mix:
    """A recipe of parts, or of percent that come to a hundred."""

    key: str
    unit: str
    amounts: list[tuple[str, str]]


@dataclass
class Case:
    """A set with its recipes and its shelf."""

    number: int
    ingredients: list[Ingredient]
    mixes: list[Mix]
    pieces: list[dict]
    jars: list[dict]
    spare: str | None
    heel: str | None
    basis: str
    cover: str | None
    measured: dict | None = None
    texts: dict[str, str] = field(default_factory=dict)


def length(rng):
    unit = rng.choice(LENGTHS)
    low, high = SIZES[unit]
    return f"{round(rng.uniform(low, high), rng.choice((1, 2)))} {unit}"


def edge(rng):
    return rng.choice(("1.5 in", "2 cm", "18 mm", None, None))


def piece(rng):
    shape = rng.choice(("rectangle", "round", "any"))
    made = {"count": rng.randint(1, 9), "edge": edge(rng)}
    if shape == "rectangle":
        made |= {"width": length(rng), "height": length(rng)}
    elif shape == "round":
        made |= {"diameter": length(rng)}
    else:
        made |= {"area": f"{rng.randint(2, 90)}00 cm2", "around": length(rng)}
    return made


def ingredient(rng, key):
    made = Ingredient(key, f"{rng.uniform(0.85, 4.2):.4f} g/ml")
    if rng.random() < 0.5:
        made.stock_g = f"{rng.randint(1, 4000)}"
    if rng.random() < 0.8:
        made.price = (f"{rng.uniform(2, 60):.2f}", rng.choice(("50", "120", "1000")))
    kind = rng.random()
    if kind < 0.2:
        made.water = "100"
    elif kind < 0.7:
        made.solids = f"{rng.uniform(20, 60):.1f}"
        made.water = f"{rng.uniform(5, 40):.1f}"
        made.dry_density = f"{rng.uniform(1.0, 1.6):.3f} g/ml"
    elif kind < 0.9:
        made.water = "0"
        made.oil = f"{rng.randint(12, 90)}"
    return made


def mix(rng, key, names):
    chosen = rng.sample(names, min(len(names), rng.randint(1, 5)))
    if rng.random() < 0.5:
        return Mix(key, "parts", [(name, f"{rng.uniform(0.5, 40):.2f}") for name in chosen])
    tenths = sorted(rng.sample(range(1, 1000), len(chosen) - 1))
    shares = [after - before for before, after in zip([0, *tenths], [*tenths, 1000])]
    return Mix(key, "%", [(name, f"{share / 10:.1f}") for name, share in zip(chosen, shares)])


def case(number):
    rng = random.Random(number)
    ingredients = [ingredient(rng, f"raw-{at}") for at in range(rng.randint(3, 14))]
    raw = [one.key for one in ingredients]
    mixes, names = [], list(raw)
    for level in range(rng.randint(0, 4)):
        made = [mix(rng, f"mix-{level}-{at}", names) for at in range(rng.randint(1, 3))]
        mixes += made
        names += [one.key for one in made]
    jars = []
    by_percent = rng.random() < 0.3
    for at in range(rng.randint(1, 7)):
        made = mix(rng, f"jar-{at}", names)
        mixes.append(made)
        jar = {"recipe": made.key}
        if rng.random() < 0.15 and jars:
            jar["make"] = f"{rng.randint(5, 900)} g"
        elif by_percent and at:
            jar["share"] = f"{rng.randint(1, 14)} %"
        else:
            jar["share"] = f"{rng.randint(1, 9)} parts"
        jars.append(jar)
    made = Case(
        number,
        ingredients,
        mixes,
        [piece(rng) for _ in range(rng.randint(1, 3))],
        jars,
        rng.choice((None, "10 %", "12.5 %")),
        rng.choice((None, "4 g", "2.5 g")),
        rng.choice(("volume", "weight")),
        rng.choice(YIELDS),
    )
    if rng.random() < 0.2:
        made.cover = None
        made.measured = piece(rng) | {"count": 1, "before": "412.5 g", "after": "640.1 g", "density": "1.09 g/ml"}
    return made


def table(name, fields):
    lines = [name]
    lines += [f"{key} = {value}" if key == "count" else f'{key} = "{value}"' for key, value in fields.items() if value is not None]
    return "\n".join(lines) + "\n\n"


def write(made, folder):
    """Writes the files of a case."""
    shelf = "".join(
        table(
            f"[ingredient.{one.key}]",
            {
                "density": one.density,
                "stock": one.stock_g and f"{one.stock_g} g",
                "price": one.price and f"{one.price[0]} EUR per {one.price[1]} g",
                "water": one.water and f"{one.water} %",
                "solids": one.solids and f"{one.solids} %",
                "dry_density": one.dry_density,
                "oil_absorption": one.oil and f"{one.oil} g per 100 g",
            },
        )
        for one in made.ingredients
    )
    (folder / "shelf.toml").write_text(shelf, encoding="utf-8")
    for one in made.mixes:
        text = table("[recipe]", {"name": one.key})
        text += "".join(table("[[step]]", {"add": name, "amount": f"{amount} {one.unit}"}) for name, amount in one.amounts)
        (folder / f"{one.key}.toml").write_text(text, encoding="utf-8")
    text = table("[set]", {"name": "Random", "spare": made.spare, "heel": made.heel, "basis": made.basis, "yield": made.cover})
    text += "".join(table("[[surface]]", one) for one in made.pieces)
    text += "".join(table("[[jar]]", one) for one in made.jars)
    if made.measured:
        text += table("[measured]", {key: value for key, value in made.measured.items() if key != "count"})
    (folder / "random-set.toml").write_text(text, encoding="utf-8")
