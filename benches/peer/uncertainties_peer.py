"""The derived quantities of derived.json worked out by the Python library `uncertainties`, and timed.

Prints one JSON object. Two times, each the median of nine rounds, in nanoseconds per quantity:
`per_evaluation_ns`: from readings that are ready as the library's numbers to value and standard uncertainty;
`per_evaluation_with_readings_ns`: the library's numbers are made from floats each time as well.
Expressions are compiled to Python functions beforehand: no text is read while the clock runs.
"""

import argparse
import json
import platform
import statistics
import time
from importlib.metadata import version
from pathlib import Path

from uncertainties import ufloat, umath

ROUNDS = 9


def largest(*numbers):
    """max by estimate; the library's own comparison of numbers is deprecated."""
    return max(numbers, key=lambda number: number.nominal_value)


def smallest(*numbers):
    return min(numbers, key=lambda number: number.nominal_value)


FUNCTIONS = {"max": largest, "min": smallest, "sqrt": umath.sqrt}


def compiled(quantity):
    """The quantity's function of its readings, and the readings as pairs of floats."""
    names = ", ".join(reading["name"] for reading in quantity["readings"])
    code = f"lambda {names}: {quantity['expression'].replace('^', '**')}"
    pairs = [(float(reading["value"]), float(reading["u"])) for reading in quantity["readings"]]
    return eval(code, dict(FUNCTIONS)), pairs  # the text is this repository's own


def given(work, repeats):
    """Value and u of every quantity, `repeats` times, the readings ready."""
    for _ in range(repeats):
        for function, numbers, _ in work:
            y = function(*numbers)
            y.nominal_value, y.std_dev


def with_readings(work, repeats):
    """The same from pairs of floats."""
    for _ in range(repeats):
        for function, _, pairs in work:
            y = function(*[ufloat(value, u) for value, u in pairs])
            y.nominal_value, y.std_dev


def per_evaluation(run, work, repeats):
    share = max(1, repeats // ROUNDS)
    rounds = []
    for _ in range(ROUNDS):
        start = time.perf_counter_ns()
        run(work, share)
        rounds.append((time.perf_counter_ns() - start) / (share * len(work)))
    return statistics.median(rounds)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--repeats", type=int, default=2000, help="evaluations of each quantity, in nine rounds")
    parser.add_argument("--data", type=Path, default=Path(__file__).with_name("derived.json"))
    options = parser.parse_args()

    quantities = json.loads(options.data.read_text(encoding="utf-8"))["quantities"]
    work, results = [], []
    for quantity in quantities:
        function, pairs = compiled(quantity)
        numbers = [ufloat(value, u) for value, u in pairs]
        work.append((function, numbers, pairs))
        y = function(*numbers)
        results.append({"name": quantity["name"], "value": y.nominal_value, "u": y.std_dev})

    report = {
        "per_evaluation_ns": per_evaluation(given, work, options.repeats),
        "per_evaluation_with_readings_ns": per_evaluation(with_readings, work, options.repeats),
        "repeats": max(1, options.repeats // ROUNDS) * ROUNDS,
        "versions": {"python": platform.python_version(), "uncertainties": version("uncertainties")},
        "results": results,
    }
    print(json.dumps(report))


if __name__ == "__main__":
    main()
