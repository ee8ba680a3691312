"""Makes tests/reference/conformance.json: conformance probabilities and coverage factors."""

import math
import random
from pathlib import Path

from scipy import optimize, stats

from budgets import figure
from errors import below_by_quadrature, below_second, standard_uncertainty
from written import versions, write

SEED = 10600
NORMAL_ONLY = 100
CONVOLVED = 100
COVERAGE = 0.95
AGREE = 1e-9
BOUNDED = ("rectangular", "triangular", "trapezoidal", "arcsine")


def component(chance, shape, size):
    """One error component of about the given size."""
    made = {"shape": shape, "scale": float(figure(size * 10 ** chance.uniform(-0.6, 0.3), 3))}
    if shape == "student":
        made["dof"] = chance.choice([1, 2, 3, 4, 5, 6, 8, 9, 10, 14, 19, 24, 29])
    if shape == "trapezoidal":
        made["beta"] = chance.choice([0.0, 0.1, 0.2, 0.25, 0.5, 0.6, 0.75, 0.9, 1.0])
    return made


def convolved_shapes(chance, place):
    """Shapes of one case: with a normal, with a student and no normal, or bounded only."""
    family = place % 5
    if family < 3:
        kinds = [*BOUNDED, "rectangular", "student", "student"]
        shapes = ["normal"] + chance.choices(kinds, k=chance.choice([1, 1, 2, 3]))
        return shapes + ["normal"] if chance.random() < 0.2 else shapes
    if family == 3:
        return ["student"] + chance.choices([*BOUNDED, "student"], k=chance.choice([0, 1, 1, 2]))
    shapes = chance.choices(BOUNDED, k=chance.choice([1, 2, 2, 3]))
    return shapes if shapes.count("arcsine") < 2 else ["arcsine", "rectangular"]


def drawn(chance, shapes):
    """Value, limits and components; the nearest limit mostly lies within a few u of the value."""
    size = 10 ** chance.uniform(-3.0, 2.0)
    components = [component(chance, shape, size) for shape in shapes]
    u = standard_uncertainty(components)
    y = chance.uniform(-3, 30) * size
    far = chance.random() < 0.15
    reach = (4.0, 8.0) if far else (0.0, 3.0)
    low = y - u * chance.uniform(*reach)
    high = y + u * chance.uniform(0.2, 6.0)
    if chance.random() < 0.3:  # outside the limits
        y = low - u * chance.uniform(0.0, 2.5)
    if chance.random() < 0.5:  # mirrored
        y, low, high = -y, -high, -low
    y, low, high = (float(figure(number, 6)) for number in (y, low, high))
    assert low < high
    open_end = chance.random()
    return {
        "y": y,
        "low": None if open_end < 0.2 else low,
        "high": None if open_end > 0.8 else high,
        "components": components,
    }


def normal_probabilities(case):
    """Tails by sf and cdf, each from its own side, so that small ones keep their digits."""
    sigma = math.sqrt(math.fsum(one["scale"] ** 2 for one in case["components"]))
    own = stats.norm(case["y"], sigma)
    below = 0.0 if case["low"] is None else float(own.cdf(case["low"]))
    above = 0.0 if case["high"] is None else float(own.sf(case["high"]))
    if case["low"] is not None and case["high"] is not None and case["low"] > case["y"]:
        within = float(own.sf(case["low"])) - above
    elif case["low"] is not None and case["high"] is not None and case["high"] < case["y"]:
        within = float(own.cdf(case["high"])) - below
    elif case["low"] is None:
        within = float(own.cdf(case["high"]))
    elif case["high"] is None:
        within = float(own.sf(case["low"]))
    else:
        within = 1.0 - (below + above)
    return {"within": within, "below": below, "above": above}


def checked(components, x):
    """P(error < x) by direct quadrature, after the second way was found to agree."""
    direct, second = below_by_quadrature(components, x), below_second(components, x)
    assert abs(direct - second) < AGREE, (components, x, direct, second)
    return min(max(direct, 0.0), 1.0)


def convolved_probabilities(case):
    below = 0.0 if case["low"] is None else checked(case["components"], case["low"] - case["y"])
    # The error is symmetric: P(error > h) = P(error < -h).
    above = 0.0 if case["high"] is None else checked(case["components"], case["y"] - case["high"])
    return {"within": 1.0 - (below + above), "below": below, "above": above}


def coverage_factor(components):
    """k such that |error| < k u with 95 %. The root is found by one way and held against the other."""
    if all(one["shape"] == "normal" for one in components):
        return float(stats.norm.ppf((1 + COVERAGE) / 2))
    u, aim = standard_uncertainty(components), (1 + COVERAGE) / 2
    # The quicker way finds the root: inversion, but for bounded components the exact polynomial.
    bounded = all(one["shape"] in BOUNDED for one in components)
    quick, slow = (below_by_quadrature, below_second) if bounded else (below_second, below_by_quadrature)
    k = optimize.brentq(lambda k: quick(components, k * u) - aim, 1.0, 40.0, xtol=1e-11, rtol=1e-12)
    slope = (quick(components, (k + 1e-4) * u) - aim) / 1e-4
    found = slow(components, k * u)
    assert abs(found - aim) < AGREE and abs(found - aim) < 1e-8 * k * slope, (components, k, found, slope)
    return float(f"{k:.10g}")


def main():
    chance = random.Random(SEED)
    cases = []
    for place in range(NORMAL_ONLY):
        case = drawn(chance, ["normal"] * chance.choice([1, 1, 2, 3]))
        cases.append({"id": f"n{place + 1:03}", "tolerance": 1e-9, **case, "expected": normal_probabilities(case)})
    for place in range(CONVOLVED):
        case = drawn(chance, convolved_shapes(chance, place))
        cases.append({"id": f"c{place + 1:03}", "tolerance": 1e-6, **case, "expected": convolved_probabilities(case)})
    for case in cases:
        case["coverage"] = coverage_factor(case["components"])

    header = {
        "made_by": "tests/reference/make/conformance.py",
        "versions": versions("scipy", "mpmath", "numpy"),
        "seed": SEED,
        "data": "invented: drawn at random",
        "agreement": AGREE,
        "format": {
            "y": "measured value; the true value is y plus the sum of the independent error components",
            "low, high": "limits, null = none on that side",
            "components": "scale = half-width (rectangular, triangular, trapezoidal, arcsine), standard uncertainty "
            "(normal) or s/sqrt(n) (student, with dof: t-distribution times scale). beta = half-width of the top over "
            "half-width of the base of the trapezoid (0 = triangle, 1 = rectangle).",
            "expected": "probabilities that the true value lies within the limits, below low, above high. Cases n…: "
            "scipy.stats.norm, tails by cdf and sf. Cases c…: direct quadrature of the convolution, agreeing to "
            "`agreement` with a second way (inversion of the characteristic function; nested adaptive quadrature "
            "or scipy.stats where all components are bounded).",
            "tolerance": "absolute, for each probability",
            "coverage": "k at 95 %: the sum of the errors lies within ± k u with that probability, where u is the "
            "root of the sum of the squared standard uncertainties, a/sqrt(3) rectangular, a/sqrt(6) triangular, "
            "a sqrt((1 + beta^2)/6) trapezoidal, a/sqrt(2) arcsine, and for student u = scale. Known to 1e-8 relative.",
        },
    }
    write(Path(__file__).resolve().parent.parent / "conformance.json", header, "cases", cases)
    print(f"{len(cases)} cases")


if __name__ == "__main__":
    main()
