"""Models as trees: written as infix text, and evaluated by any arithmetic.

A tree is the name of an input (text), or a tuple whose first item is `+ - * / ^` or a function.
"""

from functools import reduce

RANK = {"+": 1, "-": 1, "*": 2, "/": 2, "^": 4}
FUNCTIONS = ("abs", "sqrt", "exp", "ln", "log10", "max", "min", "mean")


def text(tree, least=0):
    """Infix text; operators of equal rank group from the left, a power takes one whole-number exponent."""
    if isinstance(tree, str):
        return tree
    head = tree[0]
    if head in FUNCTIONS:
        return f"{head}({', '.join(text(part) for part in tree[1:])})"
    rank = RANK[head]
    if head == "^":
        written = f"{text(tree[1], rank + 1)}^{tree[2]}"
    else:
        written = f"{text(tree[1], rank)} {head} {text(tree[2], rank + 1)}"
    return f"({written})" if rank < least else written


def inputs_of(tree):
    """Names in the tree, each once, in alphabetical order."""
    if isinstance(tree, str):
        return [tree]
    parts = tree[1:2] if tree[0] == "^" else tree[1:]
    return sorted({name for part in parts for name in inputs_of(part)})


def evaluate(tree, values, functions, seen=None):
    """The tree's value; `functions` gives abs, sqrt, exp, ln, log10 and a number's
    estimate, by which the largest is found. `seen` collects (head, arguments).
    """
    if isinstance(tree, str):
        return values[tree]
    head = tree[0]
    parts = tree[1:2] if head == "^" else tree[1:]
    arguments = [evaluate(part, values, functions, seen) for part in parts]
    if seen is not None:
        seen.append((head, arguments))
    if head == "+":
        return arguments[0] + arguments[1]
    if head == "-":
        return arguments[0] - arguments[1]
    if head == "*":
        return arguments[0] * arguments[1]
    if head == "/":
        return arguments[0] / arguments[1]
    if head == "^":
        return arguments[0] ** tree[2]
    if head in ("max", "min"):
        return (max if head == "max" else min)(arguments, key=functions["estimate"])
    if head == "mean":
        return reduce(lambda left, right: left + right, arguments) / len(arguments)
    return functions[head](arguments[0])
