"""Posteriors over hypotheses by the Python library `pyAgrum`, and how long each takes.

Reads networks and queries as the bench writes them (see the README) and prints one JSON object. A network
is rebuilt here from its faults: one node of hypotheses (none, each fault, each two where pairs are
supposed, other) above one node for each check, whose tables are worked out by noisy-MAX.

What is timed, per query: giving every reading's likelihood to an inference that stands ready and knows
which checks are read, the inference, and fetching the posterior. What is not: building the network, the
tables and the inference, and the first query. Of the library's two exact inferences the faster one counts.
"""

import argparse
import json
import platform
import statistics
import time
from importlib.metadata import version
from pathlib import Path

import numpy
import pyagrum

ENGINES = {"LazyPropagation": pyagrum.LazyPropagation, "VariableElimination": pyagrum.VariableElimination}


def noisy_max(one, other):
    """The later of two bands drawn independently, for each row."""
    together = numpy.cumsum(one, axis=-1) * numpy.cumsum(other, axis=-1)
    return numpy.diff(together, axis=-1, prepend=0.0)


def table(check, faults, pairs):
    """What is read of a check under each hypothesis, slip included."""
    leak = numpy.array(check["leak"])
    bands = len(leak)
    push = numpy.zeros((faults, bands))
    push[:, 0] = 1.0
    for fault, chances in check["pushes"]:
        push[fault] = chances
    alone = noisy_max(leak, push)
    rows = [leak[None, :], alone]
    if pairs is not None:
        rows.append(noisy_max(alone[pairs[0]], push[pairs[1]]))
    rows.append(numpy.full((1, bands), 1.0 / bands))
    return (1.0 - check["slip"]) * numpy.concatenate(rows) + check["slip"] / bands


def built(network):
    """The library's network."""
    odds = numpy.array(network["odds"])
    pairs = numpy.triu_indices(len(odds), 1) if network["pairs"] else None
    weights = [[network["none"]], odds]
    if pairs is not None:
        weights.append(odds[pairs[0]] * odds[pairs[1]])
    weights = numpy.concatenate(weights + [[network["other"]]])
    net = pyagrum.BayesNet()
    net.add(pyagrum.LabelizedVariable("hypothesis", "", len(weights)))
    net.cpt("hypothesis")[:] = weights / weights.sum()
    for at, check in enumerate(network["checks"]):
        name = f"check_{at}"
        net.add(pyagrum.LabelizedVariable(name, "", len(check["leak"])))
        net.addArc("hypothesis", name)
        net.cpt(name)[:] = table(check, len(odds), pairs)
    return net


def answer(inference, query):
    for name, weights in query:
        inference.chgEvidence(name, weights)
    inference.makeInference()
    return inference.posterior("hypothesis")


def timed(engine, net, queries, rounds):
    """Seconds per query, the median of some rounds, and the posteriors."""
    inference = engine(net)
    inference.setTargets({"hypothesis"})
    for name, weights in queries[0]:
        inference.addEvidence(name, weights)
    posteriors = [answer(inference, query).toarray().tolist() for query in queries]
    times = []
    for _ in range(rounds):
        start = time.perf_counter_ns()
        for query in queries:
            answer(inference, query)
        times.append((time.perf_counter_ns() - start) / len(queries))
    return statistics.median(times), posteriors


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("networks", type=Path, help="networks and queries, as the bench writes them")
    parser.add_argument("--rounds", type=int, default=9)
    options = parser.parse_args()
    report = []
    for network in json.loads(options.networks.read_text(encoding="utf-8"))["networks"]:
        net = built(network)
        queries = [[(f"check_{check}", weights) for check, weights in query] for query in network["queries"]]
        tried = {name: timed(engine, net, queries, options.rounds) for name, engine in ENGINES.items()}
        fastest = min(tried, key=lambda name: tried[name][0])
        nanoseconds, posteriors = tried[fastest]
        report.append(
            {
                "name": network["name"],
                "per_query_ns": nanoseconds,
                "inference": fastest,
                "posteriors": posteriors,
            }
        )
    versions = {"python": platform.python_version(), "pyagrum": version("pyagrum"), "numpy": version("numpy")}
    print(json.dumps({"networks": report, "versions": versions}))


if __name__ == "__main__":
    main()
