"""Backbones for the tests, and a slow, plain way to solve one.

`solve_dense` knows nothing of trees: it sets up Kirchhoff's current law at every node of *both*
conductors and solves the equations by elimination, in fractions.
"""

from fractions import Fraction


def line(*metres, drops=(), feeds=((0, 12),), terminators=None, cable="light"):
    """A backbone T0 – T1 – …; drops are (tee, metres, len), feeds (tee, volts), by number."""
    ends = (0, len(metres)) if terminators is None else terminators
    return {
        "segments": [
            {"from": f"T{place}", "to": f"T{place + 1}", "metres": each}
            for place, each in enumerate(metres)
        ],
        "drops": [
            {"tee": f"T{tee}", "metres": length, "unit": f"unit{place}", "len": load}
            for place, (tee, length, load) in enumerate(drops)
        ],
        "feeds": [{"tee": f"T{tee}", "volts": volts} for tee, volts in feeds],
        "terminators": [f"T{tee}" for tee in ends],
        "cable": cable,
    }


def solve_dense(drawing, ohm_per_m):
    """Volts between the conductors at every tee and unit that a feed reaches, as fractions."""
    ohm = _exact(ohm_per_m)
    wires = [(row["from"], row["to"], ohm * _exact(row["metres"])) for row in drawing["segments"]]
    units = {("unit", row["unit"]): row for row in drawing["drops"]}
    wires += [(row["tee"], node, ohm * _exact(row["metres"])) for node, row in units.items()]
    held = {row["tee"]: _exact(row["volts"]) for row in drawing["feeds"]}
    nodes = [node for node in _reached(wires, held) if node not in held]
    draws = {node: row["len"] * Fraction(1, 20) for node, row in units.items()}
    plus = _solve(nodes, wires, held, {node: -amps for node, amps in draws.items()})
    minus = _solve(nodes, wires, dict.fromkeys(held, Fraction(0)), draws)
    solved = {node: plus[node] - minus[node] for node in nodes} | held
    return {node if isinstance(node, str) else node[1]: volts for node, volts in solved.items()}


def _exact(number):
    return Fraction(str(number))


def _reached(wires, held):
    seen, waiting = dict.fromkeys(held), list(held)
    while waiting:
        here = waiting.pop()
        for one, other, _ in wires:
            for near, far in ((one, other), (other, one)):
                if near == here and far not in seen:
                    seen[far] = None
                    waiting.append(far)
    return list(seen)


def _solve(nodes, wires, held, flows_in):
    place = {node: index for index, node in enumerate(nodes)}
    rows = [[Fraction(0)] * (len(nodes) + 1) for _ in nodes]
    for node, amps in flows_in.items():
        if node in place:
            rows[place[node]][-1] += amps
    for one, other, ohms in wires:
        for near, far in ((one, other), (other, one)):
            if near not in place:
                continue
            rows[place[near]][place[near]] += 1 / ohms
            if far in place:
                rows[place[near]][place[far]] -= 1 / ohms
            else:
                rows[place[near]][-1] += held[far] / ohms
    return dict(zip(nodes, _eliminate(rows), strict=True))


def _eliminate(rows):
    size = len(rows)
    for column in range(size):
        pivot = next(index for index in range(column, size) if rows[index][column])
        rows[column], rows[pivot] = rows[pivot], rows[column]
        for index in range(size):
            if index != column and rows[index][column]:
                factor = rows[index][column] / rows[column][column]
                rows[index] = [
                    mine - factor * other
                    for mine, other in zip(rows[index], rows[column], strict=True)
                ]
    return [row[-1] / row[index] for index, row in enumerate(rows)]
