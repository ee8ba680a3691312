"""First-order numbers in mpmath: a value with its derivatives. A third way beside GTC and uncertainties,
at any precision, which also shows how much rounding a model suffers."""

import mpmath
from mpmath import mp, mpf


class Dual:
    """A value and its partial derivatives, in the order of the inputs."""

    def __init__(self, value, slopes):
        self.value, self.slopes = value, slopes

    def chained(self, value, slope):
        return Dual(value, [slope * own for own in self.slopes])

    def both(self, other, value, left, right):
        pairs = zip(self.slopes, other.slopes)
        return Dual(value, [left * mine + right * theirs for mine, theirs in pairs])

    def __add__(self, other):
        return self.both(other, self.value + other.value, mpf(1), mpf(1))

    def __sub__(self, other):
        return self.both(other, self.value - other.value, mpf(1), mpf(-1))

    def __mul__(self, other):
        return self.both(other, self.value * other.value, other.value, self.value)

    def __truediv__(self, other):
        if isinstance(other, int):
            return self.chained(self.value / other, mpf(1) / other)
        ratio = self.value / other.value
        return self.both(other, ratio, 1 / other.value, -ratio / other.value)

    def __pow__(self, power):
        return self.chained(self.value**power, power * self.value ** (power - 1))


def root(number):
    value = mpmath.sqrt(number.value)
    return number.chained(value, 1 / (2 * value))


def exponential(number):
    value = mpmath.exp(number.value)
    return number.chained(value, value)


FUNCTIONS = {
    "estimate": lambda x: x.value,
    "abs": lambda x: x.chained(abs(x.value), mpmath.sign(x.value)),
    "sqrt": root,
    "exp": exponential,
    "ln": lambda x: x.chained(mpmath.log(x.value), 1 / x.value),
    "log10": lambda x: x.chained(mpmath.log10(x.value), 1 / (x.value * mpmath.log(10))),
}


def combined(slopes, us, correlations):
    """Combined standard uncertainty (JCGM 100:2008, eq. 13 and 16)."""
    parts = [slope * u for slope, u in zip(slopes, us)]
    variance = mpmath.fsum(part * part for part in parts)
    variance += mpmath.fsum(2 * mpf(r) * parts[i] * parts[j] for i, j, r in correlations)
    return mpmath.sqrt(variance) if variance > 0 else mpf(0)


def effective(u, slopes, us, dofs):
    """Welch-Satterthwaite over the inputs of finite dof (JCGM 100:2008, eq. G.2b); None = infinite."""
    terms = [(slope * own / u) ** 4 / dof for slope, own, dof in zip(slopes, us, dofs) if dof] if u else []
    total = mpmath.fsum(terms)
    return 1 / total if total else None


def at_precision(bits, work):
    """What `work` gives when it is done with `bits` of precision."""
    with mp.workprec(bits):
        return work()
