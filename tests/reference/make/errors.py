"""Distributions of a measurement error: sums of independent, symmetric components about nought.

Shapes after JCGM 101:2008, 6.4: `scale` is the half-width of the bounded ones, the standard uncertainty of
`normal`, and s/sqrt(n) of `student`, which is the scaled and shifted t-distribution with `dof`.
"""

import math
from itertools import product

import numpy as np
from mpmath import mp, mpf
from scipy import integrate, special, stats


def plain(component):
    """(shape, scale, parameter); a trapezoid of beta 1 is a rectangle, of beta 0 a triangle."""
    shape, scale = component["shape"], component["scale"]
    if shape == "trapezoidal" and component["beta"] in (0, 1):
        return ("rectangular" if component["beta"] == 1 else "triangular", scale, None)
    return (shape, scale, component.get("beta", component.get("dof")))


def standard_uncertainty(components):
    """Root sum of squares; for student the scale itself, as a Type A evaluation states it."""
    variances = []
    for shape, scale, parameter in map(plain, components):
        divisor = {
            "normal": 1,
            "student": 1,
            "rectangular": 3,
            "triangular": 6,
            "arcsine": 2,
            "trapezoidal": 6 / (1 + parameter**2) if shape == "trapezoidal" else None,
        }[shape]
        variances.append(scale**2 / divisor)
    return math.sqrt(math.fsum(variances))


def gathered(components):
    """The normal components as one; the others as they are."""
    others = [one for one in map(plain, components) if one[0] != "normal"]
    normals = [one["scale"] for one in components if one["shape"] == "normal"]
    sigma = math.sqrt(math.fsum(scale**2 for scale in normals))
    return sigma, others


# First way: direct quadrature of the convolution.


def legendre(edges, count):
    """Nodes and weights of Gauss-Legendre, `count` in each panel between the edges."""
    points, weights = np.polynomial.legendre.leggauss(count)
    nodes, masses = [], []
    for low, high in zip(edges, edges[1:]):
        nodes.append((high + low) / 2 + (high - low) / 2 * points)
        masses.append((high - low) / 2 * weights)
    return np.concatenate(nodes), np.concatenate(masses)


def nodes_of(component, count):
    """Points and probabilities that stand for a component in an expectation."""
    shape, scale, parameter = component
    if shape == "arcsine":  # x = a sin(angle), the angle uniform: Gauss-Chebyshev
        angles = (np.arange(2 * count) + 0.5) * np.pi / (2 * count)
        return scale * np.cos(angles), np.full(2 * count, 1 / (2 * count))
    if shape == "student":  # x = s sqrt(dof) sinh(w) and the trapezoid rule, which converges fast here
        end = math.asinh(special.stdtrit(parameter, 1 - 1e-14) / math.sqrt(parameter))
        steps = np.arange(-math.ceil(end * count / 5), math.ceil(end * count / 5) + 1) * 5 / count
        masses = np.cosh(steps) ** -parameter * (5 / count) / special.beta(0.5, parameter / 2)
        return scale * math.sqrt(parameter) * np.sinh(steps), masses
    top = {"rectangular": 1.0, "triangular": 0.0}.get(shape, parameter)
    edges = sorted({-scale, -scale * top, scale * top, scale})
    points, masses = legendre(edges, count)
    density = np.minimum(1.0, (scale - np.abs(points)) / (scale * (1 - top))) if top < 1 else 1.0
    return points, masses * density / (scale * (1 + top))


def core_and_rest(sigma, others):
    """The component whose distribution function is known and smooth, and those to integrate over."""
    if sigma > 0:
        return (lambda x: special.ndtr(x / sigma)), others
    widest = max((one for one in others if one[0] == "student"), key=lambda one: one[1])
    rest = list(others)
    rest.remove(widest)
    return (lambda x: special.stdtr(widest[2], x / widest[1])), rest


def expectation(core, x, rest, counts):
    """E[core(x - sum of rest)], each component of rest standing as points with probabilities."""
    total, mass = np.zeros(1), np.ones(1)
    for component, count in zip(rest, counts):
        points, masses = nodes_of(component, count)
        total = np.add.outer(total, points).ravel()
        mass = np.multiply.outer(mass, masses).ravel()
        assert total.size < 3e7, ("no convergence", rest, x, counts)
    return float(np.dot(mass, core(x - total)))


def below_by_quadrature(components, x):
    """P(error < x): each component gets more nodes until that changes nothing at 1e-12."""
    sigma, others = gathered(components)
    if sigma == 0 and all(one[0] != "student" for one in others):
        return below_bounded(others, x)
    core, rest = core_and_rest(sigma, others)
    counts = [8] * len(rest)
    found = expectation(core, x, rest, counts)
    settled = False
    while not settled:
        settled = True
        for place in range(len(rest)):
            finer = [count + count // 2 if own == place else count for own, count in enumerate(counts)]
            better = expectation(core, x, rest, finer)
            if abs(better - found) > 1e-12:
                counts, found, settled = finer, better, False
    return found


def halves(others):
    """Half-widths of the rectangles whose sum is the given bounded component without arcsines."""
    widths = []
    for shape, scale, parameter in others:
        if shape == "rectangular":
            widths.append(mpf(scale))
        else:
            top = mpf(parameter) if shape == "trapezoidal" else mpf(0)
            widths.extend([mpf(scale) * (1 + top) / 2, mpf(scale) * (1 - top) / 2])
    return widths


def below_rectangles(widths, x):
    """Distribution function of a sum of rectangles: a piecewise polynomial, exact in high precision."""
    if not widths:
        return mpf(x > 0)
    total, order = mpf(0), len(widths)
    for signs in product((1, -1), repeat=order):
        reach = x + mp.fsum(sign * width for sign, width in zip(signs, widths))
        if reach > 0:
            total += math.prod(signs) * reach**order
    return total / (mp.factorial(order) * mp.fprod(2 * width for width in widths))


def below_bounded(others, x):
    """Bounded components, at most one arcsine."""
    with mp.workdps(40):
        arcs = [scale for shape, scale, _ in others if shape == "arcsine"]
        widths = halves([one for one in others if one[0] != "arcsine"])
        if not arcs:
            return float(below_rectangles(widths, mpf(x)))
        (arc,) = arcs
        if not widths:
            return 0.5 + math.asin(max(-1.0, min(1.0, x / arc))) / math.pi
        # The polynomial changes where x - a sin(angle) passes a sum of half-widths.
        kinks = {mpf(-1), mpf(1)}
        for signs in product((1, -1), repeat=len(widths)):
            sine = (x + mp.fsum(sign * width for sign, width in zip(signs, widths))) / arc
            if abs(sine) < 1:
                kinks.add(sine)
        edges = [mp.asin(kink) for kink in sorted(kinks)]
        return float(mp.quad(lambda angle: below_rectangles(widths, x - arc * mp.sin(angle)), edges) / mp.pi)


# Second way: inversion of the characteristic function, or nested adaptive quadrature of densities.


def characteristic(sigma, others, t):
    """Real, since every component is symmetric."""
    found = np.exp(-0.5 * (sigma * t) ** 2)
    for shape, scale, parameter in others:
        if shape == "arcsine":
            found = found * special.j0(scale * t)
        elif shape == "student":
            order, reach = parameter / 2, math.sqrt(parameter) * scale * t
            bessel = special.kve(order, reach) * np.exp(-reach)
            found = found * bessel * reach**order / (special.gamma(order) * 2 ** (order - 1))
        else:
            top = {"rectangular": 1.0, "triangular": 0.0}.get(shape, parameter)
            for width in (scale * (1 + top) / 2, scale * (1 - top) / 2):
                found = found * np.sinc(width * t / np.pi)
    return found


def below_by_inversion(components, x):
    """Gil-Pelaez for a symmetric error: F(x) = 1/2 + 1/pi * integral of sin(tx) phi(t)/t."""
    sigma, others = gathered(components)
    end = 1.0
    envelope = [one for one in others if one[0] == "student"]
    while characteristic(sigma, envelope, np.array([end]))[0] > 1e-18:
        end *= 1.25
    reach = abs(x) + sum(scale for _, scale, _ in others) + sigma
    step = 2.0 / reach
    graded = [0.0] + [step * 2.0**-power for power in range(24, 0, -1)]
    edges = np.concatenate([graded, np.linspace(step, max(end, 2 * step), max(2, int(end / step) + 2))])
    t, masses = legendre(edges, 20)
    return 0.5 + float(np.dot(masses, np.sin(t * x) * characteristic(sigma, others, t) / t)) / math.pi


def density_edges(component):
    """Where a bounded component's density has corners."""
    shape, scale, parameter = component
    top = {"rectangular": 1.0, "triangular": 0.0, "arcsine": 1.0}.get(shape, parameter)
    return sorted({-scale, -scale * top, scale * top, scale})


def frozen(component):
    """The component in scipy.stats."""
    shape, scale, parameter = component
    if shape == "rectangular":
        return stats.uniform(-scale, 2 * scale)
    if shape == "triangular":
        return stats.triang(0.5, -scale, 2 * scale)
    if shape == "arcsine":
        return stats.arcsine(-scale, 2 * scale)
    return stats.trapezoid((1 - parameter) / 2, (1 + parameter) / 2, -scale, 2 * scale)


def below_by_nesting(others, x):
    """Sum of bounded components by scipy.integrate.quad over one after another, split at the corners."""
    if len(others) == 1:
        return float(frozen(others[0]).cdf(x))
    # The arcsine's density is infinite at its ends: integrate over it last, where only its cdf is needed.
    first, *rest = sorted(others, key=lambda one: one[0] == "arcsine")
    sums = [sum(signs) for signs in product(*map(density_edges, rest))]
    own = density_edges(first)
    cuts = sorted({*own, *(x - at for at in sums if own[0] < x - at < own[-1])})
    density = frozen(first).pdf
    return math.fsum(
        integrate.quad(
            lambda s: density(s) * below_by_nesting(rest, x - s), low, high, epsabs=1e-12, epsrel=1e-10, limit=100
        )[0]
        for low, high in zip(cuts, cuts[1:])
        if high - low > 1e-14
    )


def below_second(components, x):
    sigma, others = gathered(components)
    if sigma == 0 and all(one[0] != "student" for one in others):
        return below_by_nesting(others, x)
    return below_by_inversion(components, x)
