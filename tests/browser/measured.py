"""What was measured: told, and held against its goal only where somebody measures by hand on a quiet machine."""


def measured(what, value, unit, goal):
    print(f"measured: {what} {value:.{0 if 20 <= value else 1}f} {unit} (goal: {goal} {unit})", flush=True)
