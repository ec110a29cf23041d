"""A linear program solved in fractions, by the simplex method with Bland's rule: slow, and right to the last digit.

It has the last word where the solver in floats and the program under test disagree.
"""

from fractions import Fraction


def solve(program):
    """Returns the best point of a program of fractions as a list, or None when there is none."""
    rows, right = _standard_form(program)
    columns = len(program.cost)
    wide = len(rows[0])
    tableau = [
        [*row, *(Fraction(int(at == other)) for other in range(len(rows))), value]
        for at, (row, value) in enumerate(zip(rows, right))
    ]
    basis = [wide + at for at in range(len(rows))]
    # First nothing but the artificial columns costs anything.
    _optimise(tableau, basis, [Fraction(0)] * wide + [Fraction(1)] * len(rows), wide + len(rows))
    if any(wide <= column and tableau[at][-1] != 0 for at, column in enumerate(basis)):
        return None
    _expel_artificial(tableau, basis, wide)
    cost = [Fraction(value) for value in program.cost] + [Fraction(0)] * (wide - columns + len(rows))
    _optimise(tableau, basis, cost, wide)
    point = list(map(Fraction, program.lower))
    for at, column in enumerate(basis):
        if column < columns:
            point[column] += tableau[at][-1]
    return point


def _standard_form(program):
    """Rows of equations with a right side of nothing or more, over columns of nothing or more."""
    lower = list(map(Fraction, program.lower))
    capped = [(at, limit) for at, limit in enumerate(program.upper) if limit is not None]
    below = list(zip(program.below, program.below_right))
    for at, limit in capped:
        row = [Fraction(0)] * len(lower)
        row[at] = Fraction(1)
        below.append((row, limit))
    rows, right = [], []
    for at, (row, value) in enumerate([*zip(program.equal, program.equal_right), *below]):
        row = list(map(Fraction, row))
        value = Fraction(value) - sum(factor * low for factor, low in zip(row, lower))
        slack = [Fraction(0)] * len(below)
        if len(program.equal) <= at:
            slack[at - len(program.equal)] = Fraction(1)
        sign = -1 if value < 0 else 1
        rows.append([sign * factor for factor in row + slack])
        right.append(sign * value)
    return rows, right


def _optimise(tableau, basis, cost, allowed):
    reduced = _reduced(tableau, basis, cost)
    while True:
        entering = next((column for column in range(allowed) if reduced[column] < 0), None)
        if entering is None:
            return
        leaving = min(
            ((row[-1] / row[entering], basis[at], at) for at, row in enumerate(tableau) if 0 < row[entering]),
            default=None,
        )
        assert leaving is not None, "no rescue is without end"
        _pivot(tableau, basis, leaving[2], entering)
        factor = reduced[entering]
        pivot = tableau[leaving[2]]
        reduced = [value - factor * other if other else value for value, other in zip(reduced, pivot)]


def _reduced(tableau, basis, cost):
    reduced = [*cost, Fraction(0)]
    for at, column in enumerate(basis):
        if cost[column]:
            reduced = [value - cost[column] * other for value, other in zip(reduced, tableau[at])]
    return reduced


def _pivot(tableau, basis, at, column):
    by = tableau[at][column]
    tableau[at] = [value / by if value else value for value in tableau[at]]
    pivot = tableau[at]
    for other, row in enumerate(tableau):
        factor = row[column]
        if other != at and factor:
            tableau[other] = [value - factor * mine if mine else value for value, mine in zip(row, pivot)]
    basis[at] = column


def _expel_artificial(tableau, basis, wide):
    """Takes artificial columns out of the basis; a row that says nothing new goes with its own."""
    for at in reversed(range(len(basis))):
        if basis[at] < wide:
            continue
        column = next((column for column in range(wide) if tableau[at][column] != 0), None)
        if column is None:
            del tableau[at], basis[at]
        else:
            _pivot(tableau, basis, at, column)
