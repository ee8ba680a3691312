"""Makes tests/reference/budgets.json: uncertainty budgets with the answers of GTC and uncertainties."""

import math
import random
from pathlib import Path

import GTC
import numpy as np
import uncertainties
from mpmath import mpf
from uncertainties import umath

import dual
from models import evaluate, inputs_of, text
from written import versions, write

SEED = 20100
COUNT = 200
AGREE = 1e-11
FUNCTIONS_GTC = {
    "abs": GTC.magnitude,
    "sqrt": GTC.sqrt,
    "exp": GTC.exp,
    "ln": GTC.log,
    "log10": GTC.log10,
    "estimate": lambda number: number.x,
}
FUNCTIONS_UNC = {
    "abs": lambda number: -number if number.n < 0 else number,
    "sqrt": umath.sqrt,
    "exp": umath.exp,
    "ln": umath.log,
    "log10": umath.log10,
    "estimate": lambda number: number.n,
}

# Shapes met in a workshop, and the repeated inputs on which a careless propagation goes wrong.
SHAPES = [
    ("-", "a", "a"),
    ("+", ("-", "a", "a"), "b"),
    ("/", "a", ("+", "a", "b")),
    ("/", ("-", "a", "b"), ("+", "a", "b")),
    ("/", ("*", "a", "b"), "a"),
    ("*", "a", "a"),
    ("-", ("*", "a", "a"), ("^", "b", 2)),
    ("+", ("-", ("+", "a", "b"), "a"), "c"),
    ("-", "a", "b"),
    ("/", "a", "b"),
    ("/", ("-", "a", "b"), "c"),
    ("*", ("*", "a", "b"), "c"),
    ("/", ("^", "a", 2), "b"),
    ("*", ("^", "a", 2), "b"),
    ("sqrt", ("+", ("^", "a", 2), ("^", "b", 2))),
    ("sqrt", ("-", ("^", "a", 2), ("^", "b", 2))),
    ("mean", "a", "b", "c"),
    ("mean", "a", "b", "c", "d", "e", "f"),
    ("-", ("max", "a", "b", "c"), ("min", "a", "b", "c")),
    ("/", ("-", ("max", "a", "b", "c"), ("min", "a", "b", "c")), ("mean", "a", "b", "c")),
    ("max", ("abs", ("-", "a", "b")), ("abs", ("-", "b", "c")), ("abs", ("-", "c", "a"))),
    ("/", ("*", "a", ("+", "b", "c")), ("+", "b", "d")),
    ("-", ("*", ("/", ("-", "a", "e"), ("-", "b", "e")), ("+", "c", "d")), "c"),
    ("/", ("*", "a", "b"), ("+", "a", "b")),
    ("log10", ("/", "a", "b")),
    ("/", ("ln", ("/", "a", "b")), ("-", "c", "d")),
    ("*", "a", ("exp", ("/", ("-", "b", "c"), "d"))),
    ("-", ("^", ("mean", "a", "b"), 2), ("*", "a", "b")),
    ("^", ("/", "a", "b"), 3),
    ("/", "a", ("^", ("-", "b", "c"), 2)),
]


def grown(chance, names, depth):
    """A random tree over the names, each of which may come more than once."""
    if depth == 0 or chance.random() < 0.12:
        return chance.choice(names)

    def part():
        return grown(chance, names, depth - 1)

    heads = ["+", "-", "*", "/", "^", "abs", "sqrt", "exp", "ln", "log10", "max", "min", "mean"]
    head = chance.choices(heads, weights=[5, 6, 6, 7, 2, 2, 2, 1, 1, 1, 2, 2, 2])[0]
    if head in ("+", "-", "*", "/"):
        return (head, part(), part())
    if head == "^":
        return (head, part(), chance.choice([2, 2, 3, 4]))
    if head in ("max", "min", "mean"):
        return (head, *[part() for _ in range(chance.choice([2, 2, 3, 4]))])
    inner = part()
    return (head, ("-", inner, part())) if head == "abs" else (head, inner)


def figure(number, digits):
    """Decimal text of at most `digits` significant digits, without exponent."""
    if number == 0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(number)))
    return f"{round(number, places):.{max(places, 0)}f}"


def drawn_inputs(chance, names):
    """Values, standard uncertainties and dof. Magnitudes of one budget are alike, as readings' are."""
    middle = chance.uniform(-1.5, 3.0)
    infinite = chance.random() < 0.35
    inputs = []
    for name in names:
        size = 10 ** (middle + chance.uniform(-0.7, 0.7))
        value = size if chance.random() < 0.85 else -size
        u = size * 10 ** chance.uniform(-4.0, -1.2)
        dof = None
        if not infinite and chance.random() < 0.55:
            dof = chance.choice([1, 2, 3, 4, 5, 6, 9, 11, 19, 29, 49, 99, 499])
        digits = chance.randint(3, 6)
        inputs.append({"name": name, "value": figure(value, digits), "u": figure(u, chance.randint(1, 3)), "dof": dof})
    return inputs


def drawn_correlations(chance, inputs):
    """Correlations among inputs of infinite dof, to two decimals, positive semidefinite."""
    free = [i for i, one in enumerate(inputs) if one["dof"] is None]
    if len(free) < 2:
        return []
    if len(free) == 2 or chance.random() < 0.3:
        i, j = sorted(chance.sample(free, 2))
        return [[i, j, chance.choice([1.0, -1.0] + 6 * [round(chance.uniform(-0.99, 0.99), 2)])]]
    loads = {i: [chance.gauss(0, 1) for _ in range(3)] for i in free}
    size = {i: math.sqrt(sum(load * load for load in loads[i])) for i in free}
    found = []
    for place, i in enumerate(free):
        for j in free[place + 1 :]:
            r = sum(x * y for x, y in zip(loads[i], loads[j])) / (size[i] * size[j])
            r = round(0.95 * r, 2)
            if r != 0 and chance.random() < 0.85:
                found.append([i, j, r])
    return found if found and smallest_eigenvalue(len(inputs), found) > 1e-6 else []


def matrix(count, correlations):
    filled = np.eye(count)
    for i, j, r in correlations:
        filled[i, j] = filled[j, i] = r
    return filled


def smallest_eigenvalue(count, correlations):
    return float(np.linalg.eigvalsh(matrix(count, correlations))[0])


def by_gtc(tree, inputs, correlations):
    dofs = [math.inf if one["dof"] is None else one["dof"] for one in inputs]
    related = {place for i, j, _ in correlations for place in (i, j)}
    numbers = [
        GTC.ureal(float(one["value"]), float(one["u"]), dof, independent=place not in related)
        for place, (one, dof) in enumerate(zip(inputs, dofs))
    ]
    for i, j, r in correlations:
        GTC.set_correlation(r, numbers[i], numbers[j])
    y = evaluate(tree, {one["name"]: number for one, number in zip(inputs, numbers)}, FUNCTIONS_GTC)
    slopes = [float(GTC.rp.sensitivity(y, number)) for number in numbers]
    return float(y.x), float(y.u), None if math.isinf(y.df) else float(y.df), slopes


def by_uncertainties(tree, inputs, correlations):
    """Value and u with the correlations as the library makes them, and the derivatives without."""
    pairs = [(float(one["value"]), float(one["u"])) for one in inputs]
    plain = [uncertainties.ufloat(*pair) for pair in pairs]
    names = [one["name"] for one in inputs]
    y = evaluate(tree, dict(zip(names, plain)), FUNCTIONS_UNC)
    slopes = [float(y.derivatives.get(number, 0.0)) for number in plain]
    if correlations:
        linked = uncertainties.correlated_values_norm(pairs, matrix(len(pairs), correlations))
        y = evaluate(tree, dict(zip(names, linked)), FUNCTIONS_UNC)
    return float(y.n), float(y.s), slopes


def by_dual(tree, inputs, correlations, bits, seen=None):
    """[value, u, dof, slopes…] with `bits` of precision, from the doubles that the texts are read as."""

    def work():
        count = len(inputs)
        numbers = {
            one["name"]: dual.Dual(mpf(float(one["value"])), [mpf(int(place == own)) for own in range(count)])
            for place, one in enumerate(inputs)
        }
        us = [mpf(float(one["u"])) for one in inputs]
        y = evaluate(tree, numbers, dual.FUNCTIONS, seen)
        u = dual.combined(y.slopes, us, correlations)
        dof = dual.effective(u, y.slopes, us, [one["dof"] for one in inputs])
        return [y.value, u, dof, *y.slopes]

    return dual.at_precision(bits, work)


def wide(number, inputs):
    """An upper bound of a number's standard uncertainty, whatever the correlations."""
    return sum(abs(slope) * mpf(float(one["u"])) for slope, one in zip(number.slopes, inputs))


def near_kink(seen, inputs):
    """Whether an argument lies within six standard uncertainties of where the model is not smooth."""
    for head, arguments in seen:
        first = arguments[0]
        if head in ("abs", "sqrt", "ln", "log10") and abs(first.value) <= 6 * wide(first, inputs):
            return True
        if head == "/" and abs(arguments[1].value) <= 6 * wide(arguments[1], inputs):
            return True
        if head in ("max", "min"):
            ordered = sorted(arguments, key=lambda one: one.value, reverse=head == "max")
            best = ordered[0]
            for other in ordered[1:]:
                apart = best - other
                if abs(apart.value) <= 6 * wide(apart, inputs):
                    return True
    return False


def close(got, expected, relative):
    if got is None or expected is None:
        return got is None and expected is None
    return abs(got - expected) <= relative * abs(expected)


def same_slopes(slopes, others, u, inputs):
    """Relative agreement, or a difference too small to matter: in `a * (b / a)` one library finds dy/da = 0 and
    the other a rounding error."""
    for slope, other, one in zip(slopes, others, inputs):
        without_weight = abs(slope - other) * float(one["u"]) <= AGREE * u
        if not close(slope, other, AGREE) and not without_weight:
            return False
    return True


def cancels(tree, inputs, exact):
    """Whether what comes in at each place where an input is written is 256 times what remains in y or in u.

    Libraries add these parts in different orders, so that a rounding error of that many units may remain.
    """
    names, places = [], []

    def parted(part):
        if isinstance(part, str):
            names.append(f"{part}{len(names)}")
            places.append(next(own for own, one in enumerate(inputs) if one["name"] == part))
            return names[-1]
        return (part[0], *[parted(own) if isinstance(own, (str, tuple)) else own for own in part[1:]])

    split = parted(tree)
    copies = [{**inputs[place], "name": name} for name, place in zip(names, places)]
    slopes = by_dual(split, copies, [], 240)[3:]
    in_y = sum(abs(slope) * abs(float(one["value"])) for slope, one in zip(slopes, copies))
    in_u = sum(abs(slope) * float(one["u"]) for slope, one in zip(slopes, copies))
    return in_y > 256 * abs(exact[0]) or in_u > 256 * exact[1]


def reason_to_leave_out(tree, inputs, correlations):
    """Why a draw is no fair test, judged without GTC and uncertainties; None if it is one."""
    seen = []
    try:
        exact = by_dual(tree, inputs, correlations, 240, seen)
    except (ZeroDivisionError, ValueError, TypeError, AttributeError):
        return "not defined"
    if any(getattr(number, "imag", 0) != 0 for number in exact if number is not None):
        return "not defined"
    if near_kink(seen, inputs):
        return "near a kink"
    if not (exact[0] == 0 or 1e-9 < abs(exact[0]) < 1e9) or exact[1] > abs(exact[0]) * 100:
        return "out of proportion"
    if exact[1] == 0 and tree != ("-", "a", "a"):
        return "no uncertainty"
    # With so many bits a well-conditioned model is right to about 2^-bits; 64 times that is the most allowed here.
    for bits in (37, 40, 43, 47, 53):
        rough = by_dual(tree, inputs, correlations, bits)
        if not all(close(got, right, 2.0 ** (6 - bits)) for got, right in zip(rough, exact)):
            return "ill-conditioned"
    if tree != ("-", "a", "a") and cancels(tree, inputs, exact):
        return "ill-conditioned"
    return None


def budget(tree, inputs, correlations):
    """One case, after GTC, uncertainties and mpmath were found to agree."""
    value, u, dof, slopes = by_gtc(tree, inputs, correlations)
    other_value, other_u, other_slopes = by_uncertainties(tree, inputs, correlations)
    exact = by_dual(tree, inputs, correlations, 240)
    where = (text(tree), inputs, correlations)
    assert close(value, other_value, AGREE) and close(u, other_u, AGREE), (where, u, other_u)
    assert all(close(one, two, AGREE) for one, two in zip([value, u, dof], exact)), (where, dof, exact)
    for third in (other_slopes, exact[3:]):
        assert same_slopes(slopes, third, u, inputs), (where, slopes, third)
    return {
        "model": text(tree),
        "inputs": inputs,
        "correlations": correlations,
        "expected": {
            "value": value,
            "u": u,
            "dof": dof,
            "sensitivities": slopes,
            "u_uncertainties": other_u,
        },
    }


def main():
    chance = random.Random(SEED)
    cases, left_out, models = [], {}, set()
    place = tries = 0
    while len(cases) < COUNT:
        tries += 1
        if place < len(SHAPES):
            tree = SHAPES[place]
        else:
            names = list("abcdef")[: chance.choice([1, 2, 2, 3, 3, 3, 4, 4, 5, 6])]
            tree = grown(chance, names, chance.randint(1, 4))
            # Names without gaps, so that the inputs are always a, b, c, …
            if isinstance(tree, str) or inputs_of(tree) != names or text(tree) in models:
                continue
        names = inputs_of(tree)
        inputs = drawn_inputs(chance, names)
        if tree == ("-", "a", "a"):
            inputs[0]["dof"] = None  # u = 0 with finite dof has no effective dof
        correlations = drawn_correlations(chance, inputs)
        why = reason_to_leave_out(tree, inputs, correlations)
        if why:
            left_out[why] = left_out.get(why, 0) + 1
            continue
        place += 1
        models.add(text(tree))
        cases.append({"id": f"b{len(cases) + 1:03}", **budget(tree, inputs, correlations)})

    header = {
        "made_by": "tests/reference/make/budgets.py",
        "versions": versions("GTC", "uncertainties", "mpmath", "numpy"),
        "seed": SEED,
        "data": "invented: drawn at random",
        "agreement": AGREE,
        "drawn_and_left_out": dict(sorted(left_out.items())),
        "format": {
            "model": "infix text over the inputs a, b, c, …: + - * / from the left, ^ with a whole-number exponent "
            "(binds tightest), brackets, abs sqrt exp ln log10 of one argument, max min mean of two or more. "
            "No other numbers, no unary minus.",
            "inputs": "value and standard uncertainty u as decimal text; dof = degrees of freedom, null = infinite",
            "correlations": "[i, j, r]: correlation coefficient of inputs i and j, counted from 0, i < j; both of "
            "infinite dof. Pairs that are not listed are uncorrelated.",
            "expected": "by GTC: value, combined standard uncertainty u, effective dof (Welch-Satterthwaite, not "
            "truncated; null = infinite; where a sensitivity is 0 but for rounding, another way may find a number above "
            "1e20 instead of null), sensitivities dy/dx in the order of the inputs. u_uncertainties: u by the library "
            "uncertainties. All agree with each other, and with mpmath at 240 bits, to `agreement` (relative; "
            "a sensitivity may instead differ by `agreement` × u / u(x): dy/da of a * (b / a) is a rounding error).",
        },
    }
    write(Path(__file__).resolve().parent.parent / "budgets.json", header, "budgets", cases)
    print(f"{len(cases)} budgets; left out of {tries}: {left_out}")


if __name__ == "__main__":
    main()
