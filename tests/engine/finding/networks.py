"""Random boats for the fault finder: switches in a chain, units on them, perhaps a backbone."""

from itertools import pairwise
from random import Random


def random_network(seed, *, most_units=12, switches=None):
    """A sound network of JSON's shape: no ring, each port once."""
    random = Random(seed)
    count = random.randint(0, 3) if switches is None else switches
    boxes = [
        {
            "id": f"sw{n}", "kind": "switch", "bridges": True, "lights": random.random() < 0.7,
            "ports": 5, "most_displays": random.choice((None, 4, 5)),
        }
        for n in range(1, count + 1)
    ]  # fmt: skip
    used = {box["id"]: 0 for box in boxes}
    cables = []

    def join(one, other, adapter):
        ends = []
        for key in (one, other):
            used[key] = used.get(key, 0) + 1
            ends.append({"unit": key, "port": used[key], "adapter": adapter and key == other})
        cables.append({"id": f"N{len(cables) + 1}", "ends": ends})

    for one, other in pairwise(boxes):
        join(one["id"], other["id"], adapter=False)
    free = sum(5 - used[box["id"]] for box in boxes)
    units = random.randint(2, min(most_units, free)) if boxes else 2
    for n in range(1, units + 1):
        kind = "display" if n == 1 else random.choice(("display", "sounder", "radar", "camera"))
        boxes.append({"id": f"u{n}", "kind": kind, "ports": random.choice((1, 2))})
        home = next(
            (box["id"] for box in random.sample(boxes[:count], count) if used[box["id"]] < 5), None
        )
        if home:
            join(home, f"u{n}", adapter=random.random() < 0.3)
    if not count:
        join("u1", "u2", adapter=random.random() < 0.3)
    lines = [_line(random)] if random.random() < 0.6 else []
    return {"units": boxes, "cables": cables, "backbones": lines, "view": "u1"}


def _line(random):
    tees = [f"T{n}" for n in range(1, random.randint(4, 9))]
    drops = [
        {"unit": f"node{n}", "tee": random.choice(tees[1:-1]), "metres": 1, "len": 2}
        for n in range(1, random.randint(2, 6))
    ]
    return {
        "id": "backbone",
        "segments": [{"from": one, "to": other, "metres": 2} for one, other in pairwise(tees)],
        "drops": drops,
        "feeds": [{"tee": random.choice(tees[1:-1]), "volts": 12.6}],
        "terminators": [tees[0], tees[-1]],
        "view": "node1",
    }


def shown_to(random, shown):
    """What a person sees: where it may show either way, either."""
    return {key: value for key, value in shown.items() if value is not None}
