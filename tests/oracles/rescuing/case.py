"""One rescue as a person has it at the bench: the files, the command, and the same as exact numbers.

Every number of a case is a decimal text, so that the program and the reference read the very same one.
"""

from dataclasses import dataclass, field

RECIPE = "the-recipe"


@dataclass(frozen=True)
class Addition:
    name: str
    parts: str
    within: str | None = None  # Percent of its own target; left out, the program's default of 2.


@dataclass(frozen=True)
class Item:
    """What the shelf says of a raw ingredient: grams, EUR and the grams they buy, g/ml."""

    stock: str | None = None
    price: tuple[str, str] | None = None
    density: str | None = None


@dataclass(frozen=True)
class Case:
    name: str
    recipe: tuple[Addition, ...]
    make: str
    poured: tuple[tuple[str, str], ...]  # In order; nothing yet is nothing of the first.
    premixes: dict[str, tuple[Addition, ...]] = field(default_factory=dict)
    shelf: dict[str, Item] = field(default_factory=dict)
    jar: tuple[str, str] | None = None  # A number and `g` or `ml`.
    taken_out: str | None = None
    division: str | None = None

    def write(self, folder):
        """Writes the recipe, its premixes and the shelf as a person would keep them: in one folder."""
        (folder / f"{RECIPE}.toml").write_text(_recipe_text(self.name, self.recipe), encoding="utf-8")
        for name, additions in self.premixes.items():
            (folder / f"{name}.toml").write_text(_recipe_text(name, additions), encoding="utf-8")
        if self.shelf:
            (folder / "shelf.toml").write_text("\n".join(map(_item_text, self.shelf.items())), encoding="utf-8")

    def arguments(self, folder):
        """What follows the program's name on the command line."""
        words = ["rescue", str(folder / f"{RECIPE}.toml"), "--make", f"{self.make}g"]
        words += ["--poured", ",".join(f"{name}={grams}g" for name, grams in self.poured)]
        if self.jar is not None:
            words += ["--jar", "".join(self.jar)]
        if self.taken_out is not None:
            words += ["--taken-out", f"{self.taken_out}g"]
        if self.division is not None:
            words += ["--division", f"{self.division}g"]
        return [*words, "--json"]


def _recipe_text(name, additions):
    lines = ["[recipe]", f'name = "{name}"']
    for addition in additions:
        lines += ["", "[[step]]", f'add = "{addition.name}"', f'amount = "{addition.parts} parts"']
        if addition.within is not None:
            lines.append(f'within = "{addition.within} %"')
    return "\n".join(lines) + "\n"


def _item_text(named):
    name, item = named
    lines = [f"[ingredient.{name}]"]
    if item.stock is not None:
        lines.append(f'stock = "{item.stock} g"')
    if item.price is not None:
        lines.append(f'price = "{item.price[0]} EUR per {item.price[1]} g"')
    if item.density is not None:
        lines.append(f'density = "{item.density} g/ml"')
    return "\n".join(lines) + "\n"
