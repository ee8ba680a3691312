"""Makes tests/reference/sums.json: sums with three to six Student errors, in two ways that share nothing.

First way: step by step in real space. The distribution function of the widest Student error is known; each
further error is a mean over it, by Gauss-Legendre panels that are refined where either of the two changes,
and the result is kept as Chebyshev polynomials, piece by piece, halved until they hold. Second way: inversion
of the characteristic function, a plain sum of Gauss-Legendre panels short enough for every oscillation.
"""

import math
import random
from pathlib import Path

import numpy as np
from mpmath import mp
from scipy import optimize, special

from budgets import figure
from errors import legendre, standard_uncertainty
from written import versions, write

SEED = 20815
CASES = 72
AGREE = 2e-11
TOLERANCE = 1e-10
TAILS = (0.4, 0.1, 0.02, 1e-3, 1e-6)
COVERAGE = 0.95
FARTHEST = 2000.0
DEGREE = 20


# First way: step by step in real space.


class Tail:
    """P(error > x) for x >= 0 in pieces; beyond the last it is nought. The error is symmetric."""

    def __init__(self, exact, least, most, width):
        """`exact` works on arrays; between `least` and `most` pieces grow by doubling. `width`: of its change."""
        self.width = width
        nodes = np.cos(np.pi * (np.arange(DEGREE) + 0.5) / DEGREE)
        to_series = np.linalg.inv(np.polynomial.chebyshev.chebvander(nodes, DEGREE - 1))
        octaves = math.ceil(math.log2(most / least))
        waiting = [(0.0, least)] + [(least * 2.0**k, least * 2.0 ** (k + 1)) for k in range(octaves)]
        kept = []
        while waiting:
            lows, highs = (np.array(side) for side in zip(*waiting))
            points = (highs + lows)[:, None] / 2 + (highs - lows)[:, None] / 2 * nodes
            series = exact(points.ravel()).reshape(points.shape) @ to_series.T
            rough = np.abs(series[:, -3:]).max(axis=1)
            fine = (rough < 1e-13) | (highs - lows < 1e-13 * highs)
            kept.extend(zip(lows[fine], series[fine]))
            middles = (lows + highs) / 2
            waiting = [half for low, middle, high, done in zip(lows, middles, highs, fine) if not done
                       for half in ((low, middle), (middle, high))]
        kept.sort(key=lambda piece: piece[0])
        self.edges = np.array([low for low, _ in kept] + [least * 2.0**octaves])
        self.series = np.array([series for _, series in kept])
        self.whole = np.zeros((len(kept), DEGREE + 1))
        halves = np.diff(self.edges) / 2
        for place, series in enumerate(self.series):
            self.whole[place] = np.polynomial.chebyshev.chebint(series, lbnd=-1) * halves[place]
        self.before = np.concatenate([[0.0], np.cumsum(self.whole.sum(axis=1))])

    def pieced(self, series, x):
        place = np.clip(np.searchsorted(self.edges, x, side="right") - 1, 0, len(series) - 1)
        low, high = self.edges[place], self.edges[place + 1]
        u = np.clip((2 * x - low - high) / (high - low), -1, 1)
        value, last = np.zeros_like(u), np.zeros_like(u)
        for column in range(series.shape[1] - 1, 0, -1):
            value, last = series[place, column] + 2 * u * value - last, value
        return series[place, 0] + u * value - last, place

    def __call__(self, x):
        size = np.abs(x)
        found = np.where(size >= self.edges[-1], 0.0, self.pieced(self.series, size)[0])
        return np.where(x < 0, 1 - found, found)

    def integral(self, x):
        """From 0 to x."""
        size = np.abs(x)
        found, place = self.pieced(self.whole, size)
        found = found + self.before[place]
        found = np.where(size >= self.edges[-1], self.before[-1], found)
        return np.where(x < 0, found - size, found)


POINTS, MASSES = np.polynomial.legendre.leggauss(16)


def graded(width, reach):
    """Edges about nought, doubling from `width` on."""
    count = max(1, math.ceil(math.log2(max(reach / width, 2.0))))
    sizes = width * 2.0 ** np.arange(-2, count + 1)
    return np.concatenate([-sizes[::-1], [0.0], sizes])


def student_density(dof, s):
    constant = special.gammaln((dof + 1) / 2) - special.gammaln(dof / 2) - 0.5 * math.log(dof * math.pi)
    return np.exp(constant - (dof + 1) / 2 * np.log1p(s * s / dof))


def smoothed(tail, density, width, reach, x):
    """E[tail(x - s)] over a symmetric s with the density and the size `width`; beyond `reach` it is nought."""
    own = graded(width, reach)
    found = np.empty_like(x)
    for place, at in enumerate(x):
        other = at + graded(tail.width, 4 * tail.edges[-1])
        edges = np.unique(np.concatenate([own, other[np.abs(other) < own[-1]]]))
        halves = np.diff(edges)[:, None] / 2
        points = (edges[1:] + edges[:-1])[:, None] / 2 + halves * POINTS
        found[place] = np.sum(halves * MASSES * density(points) * tail(at - points))
    return found


def after_student(tail, scale, dof):
    """The tail with a Student error more."""
    reach = scale * min(abs(special.stdtrit(dof, 1e-17)), 1e18)

    def exact(x):
        middle = smoothed(tail, lambda s: student_density(dof, s / scale) / scale, scale, reach, x)
        # What lies beyond the panels: there the tail of x - s is 1 on the one side and 0 on the other.
        return middle + special.stdtr(dof, -graded(scale, reach)[-1] / scale)

    return exact


def after_normal(tail, scale):
    return lambda x: smoothed(tail, lambda s: np.exp(-0.5 * (s / scale) ** 2) / (scale * math.sqrt(2 * math.pi)),
                              scale, 16 * scale, x)


def after_rectangle(tail, half_width):
    if half_width > tail.width:
        return lambda x: (tail.integral(x + half_width) - tail.integral(x - half_width)) / (2 * half_width)
    points, masses = np.polynomial.legendre.leggauss(24)
    return lambda x: tail(x[:, None] - half_width * points) @ masses / 2


def after_arcsine(tail, amplitude):
    """By the phase, whose mean converges fast once the points are closer than the tail changes."""
    count = 64 + 16 * math.ceil(amplitude / tail.width)
    swings = amplitude * np.cos((np.arange(count) + 0.5) * np.pi / count)
    return lambda x: np.array([tail(at - swings).mean() for at in x])


def above_by_steps(components, xs):
    """P(error > x) for several x: the widest Student error first, then the others, arcsines at last."""
    order = {"student": 0, "normal": 0, "rectangular": 1, "arcsine": 2}
    ranked = sorted(components, key=lambda one: (order[one["shape"]], -one["scale"]))
    first = next(one for one in ranked if one["shape"] == "student")
    ranked.remove(first)
    least = min(one["scale"] for one in components if one["shape"] == "student") / 4
    most = 4 * sum(one["scale"] for one in components) + sum(
        one["scale"] * min(abs(special.stdtrit(one["dof"], 1e-15)), 1e16) for one in components if one["shape"] == "student")
    exact = lambda x: special.stdtr(first["dof"], -x / first["scale"])
    width = first["scale"]
    for one in ranked:
        tail = Tail(exact, least, most, width)
        shape, scale = one["shape"], one["scale"]
        if shape == "student":
            exact = after_student(tail, scale, one["dof"])
        else:
            exact = {"normal": after_normal, "rectangular": after_rectangle, "arcsine": after_arcsine}[shape](tail, scale)
    return exact(np.array(xs, dtype=float))


# Second way: inversion of the characteristic function.


def student_characteristic(dof, z):
    """2 (z/2)^m K_m(z) / Gamma(m) with m = dof/2."""
    order = dof / 2
    if order <= 20:
        small = np.maximum(z, 1e-12)
        return np.where(z < 1e-12, 1.0, np.exp(math.log(2) - special.gammaln(order) + order * np.log(small / 2) - small)
                        * special.kve(order, small))
    # The mean of exp(-z^2/(4y)) over a gamma variable y of that order.
    points, masses = special.roots_genlaguerre(120, order - 1)
    masses = masses / masses.sum()
    return np.exp(-np.square(z)[:, None] / (4 * points)) @ masses


def check_characteristic():
    """Against mpmath with 30 digits."""
    with mp.workdps(30):
        for dof in (1, 2.5, 4, 17.3, 40, 60, 200):
            for z in (1e-3, 0.3, 2.0, 9.0, 30.0):
                order = mp.mpf(dof) / 2
                exact = 2 * (mp.mpf(z) / 2) ** order * mp.besselk(order, z) / mp.gamma(order)
                found = student_characteristic(dof, np.array([z]))[0]
                assert abs(found - float(exact)) < 1e-14, (dof, z, found, exact)


def characteristic(components, t):
    found = np.ones_like(t)
    for one in components:
        phase = one["scale"] * t
        if one["shape"] == "normal":
            found = found * np.exp(-0.5 * phase**2)
        elif one["shape"] == "student":
            found = found * student_characteristic(one["dof"], math.sqrt(one["dof"]) * phase)
        elif one["shape"] == "arcsine":
            found = found * special.j0(phase)
        else:
            found = found * np.sinc(phase / np.pi)
    return found


class Inverted:
    """phi(t)/t at the nodes of one sum, for x up to `reach`."""

    def __init__(self, components, reach):
        smooth = [one for one in components if one["shape"] in ("normal", "student")]
        u = standard_uncertainty(components)
        end = 1 / u
        while characteristic(smooth, np.array([end]))[0] > 1e-16:
            end *= 1.1
        swing = reach + sum(one["scale"] for one in components if one["shape"] in ("rectangular", "arcsine"))
        step = min(3 / swing, 1 / u)
        start = [0.0] + [step * 2.0**-power for power in range(40, 0, -1)]
        edges = np.concatenate([start, np.linspace(step, end, max(2, math.ceil(end / step)))])
        self.t, masses = legendre(edges, 20)
        self.parts = masses * np.concatenate(
            [characteristic(components, t) for t in np.array_split(self.t, max(1, self.t.size // 20000))]) / self.t

    def above(self, x):
        return 0.5 - float(np.dot(self.parts, np.sin(self.t * x))) / math.pi


# The cases.


def student(chance, size):
    dof = chance.choice([1, 1, 2, 2, 3, 4, 5, 6, 8, 9, 12, 19, 29, 30, 50, 59, 60, 99, 200, 1.5, 2.7, 7.31, 12.5, 41.8])
    return {"shape": "student", "scale": scaled(chance, size), "dof": dof}


def scaled(chance, size):
    return float(figure(size * 10 ** chance.uniform(-0.7, 0.3), 3))


def drawn(chance, place):
    """Three to six Student errors and, by the place, others; every ninth with scales far apart."""
    size = 10 ** chance.uniform(-3.0, 2.0)
    components = [student(chance, size) for _ in range(3 + place % 4)]
    family = place % 9
    others = {
        1: ["normal"], 2: ["rectangular"], 3: ["rectangular", "rectangular"], 4: ["arcsine"],
        5: ["normal", "rectangular", "arcsine"], 6: ["arcsine", "rectangular"], 7: ["rectangular", "rectangular", "normal"],
    }.get(family, [])
    components += [{"shape": shape, "scale": scaled(chance, size)} for shape in others]
    if family == 8:
        # As much as a million times narrower than the widest.
        for step, one in enumerate(components[1:], 1):
            one["scale"] = float(figure(one["scale"] * 10 ** (-6.0 * step / (len(components) - 1)), 3))
    if family in (3, 6) and place % 2 == 1:
        # A good meter, read many times: the rectangles and arcsines are up to fifty times as wide.
        for one in components:
            if one["shape"] != "student":
                one["scale"] = float(figure(one["scale"] * chance.uniform(10, 50), 3))
    return components


def case(chance, place):
    components = drawn(chance, place)
    u = standard_uncertainty(components)
    # Further out the panels have to be shorter.
    near, far = Inverted(components, 60 * u), None
    points = []
    for tail in (*TAILS, (1 - COVERAGE) / 2):
        own, reach = near, 60 * u
        if near.above(reach) > tail:
            far = far or Inverted(components, FARTHEST * u)
            own, reach = far, FARTHEST * u
        # With one or two degrees of freedom the least of the tails is further out than panels go.
        x = reach if own.above(reach) > tail else optimize.brentq(
            lambda x: own.above(x) - tail, 1e-3 * u, reach, xtol=1e-13 * u, rtol=1e-13)
        points.append((float(figure(x, 6)), own) if len(points) < len(TAILS) else (x, own))
    points = [(x, own.above(x)) for x, own in points]
    k = points[-1][0] / u
    steps = above_by_steps(components, [x for x, _ in points])
    for (x, inverted), stepped in zip(points, steps):
        assert abs(inverted - stepped) < AGREE, (place, components, x, inverted, stepped)
    return {
        "id": f"s{place + 1:03}",
        "components": components,
        "coverage": float(f"{k:.10g}"),
        "above": [[x, float(stepped)] for (x, _), stepped in zip(points[:-1], steps)],
    }


def main():
    check_characteristic()
    chance = random.Random(SEED)
    cases = []
    for place in range(CASES):
        cases.append(case(chance, place))
    header = {
        "made_by": "tests/reference/make/sums.py",
        "versions": versions("scipy", "mpmath", "numpy"),
        "seed": SEED,
        "data": "invented: drawn at random",
        "agreement": AGREE,
        "tolerance": TOLERANCE,
        "format": {
            "components": "as in conformance.json",
            "above": "x and P(error > x), worked out step by step in real space; inversion of the characteristic "
            "function agrees to `agreement`. From the centre to a tail of 1e-6, or to 2000 u where that is nearer. "
            "The tolerance is absolute: five times what the two ways agree to.",
            "coverage": "k at 95 %, as in conformance.json; by inversion, known to 1e-9 relative.",
        },
    }
    write(Path(__file__).resolve().parent.parent / "sums.json", header, "cases", cases)
    print(f"{len(cases)} cases")


if __name__ == "__main__":
    main()
