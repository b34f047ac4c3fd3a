"""Sentences for people: what an option does, and why nothing fits."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

from planner.engine.facts import DC_LIMIT, MAX_NEW, Case, Request, Statement
from planner.engine.reading import read_case
from planner.engine.words import Row, amps, counted, device_name, listed, money, unit_name


def tell_options(case: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """One opening sentence for each option of an answer, in order."""
    facts = read_case(case)
    plans = answer.get("options") or []
    first = plans[0]["total_cents"] if plans else 0
    return [_option(facts, plan, n, plan["total_cents"] - first) for n, plan in enumerate(plans)]


def tell_conflict(case: dict[str, Any], answer: dict[str, Any]) -> str:
    """Say what cannot hold together and what could be given up; empty for a feasible answer."""
    if answer.get("feasible") is not False or answer.get("conflict") is None:
        return ""
    facts = read_case(case)
    clash = [name_of(facts, name) for name in answer["conflict"]]
    text = f"No plan meets everything asked. These cannot all hold together: {listed(clash)}."
    if answer.get("relaxations") is None:
        return f"{text} Perhaps fewer of them already clash; what to give up is not known."
    ways = [listed([name_of(facts, name) for name in ids]) for ids in answer["relaxations"]]
    if ways:
        return f"{text} A plan is found as soon as one of these is given up: {'; or '.join(ways)}."
    return f"{text} Giving up any two of all the wishes and rules is not enough."


def say_becomes(facts: Case, row: Row) -> str:
    """What becomes of one unit."""
    fate = {
        "stays": "stays",
        "added": "new",
        "replaced": "new in its place",
        "removed": "taken out",
        "disconnected": "disconnected, left in place",
    }[row["fate"]]
    if row["fate"] in ("removed", "disconnected"):
        return fate
    release = f", release {row['release']}" if row["release"] else ""
    before = {d.id: d.release for d in facts.devices}.get(row["unit"])
    if row["fate"] == "stays" and before != row["release"]:
        release += f" (was {before})"
    return f"{fate}, {'on' if row['networked'] else 'off'} the network{release}"


def _option(facts: Case, plan: dict[str, Any], number: int, more: int) -> str:
    lead = "The cheapest way" if number == 0 else _dearer(more)
    return f"{lead}: {say_acts(facts, plan)}. {money(plan['total_cents'])} in all."


def say_acts(facts: Case, plan: dict[str, Any]) -> str:
    """All that a plan does, as one clause."""
    return listed(list(_acts(facts, plan))) or "nothing needs to change"


def _dearer(more: int) -> str:
    return "At the same cost" if more == 0 else f"For {money(more)} more"


def _acts(facts: Case, plan: dict[str, Any]) -> Iterator[str]:
    rows = plan["units"]
    added = [row for row in rows if row["fate"] == "added"]
    if added:
        yield "fit " + listed([f"a new {r['model']} at {r['location']}" for r in added])
    for row in rows:
        if row["fate"] == "replaced":
            old = next(d.model for d in facts.devices if d.id == row["unit"])
            off = "" if row["networked"] else ", off the network"
            place = f"the {old} ({row['unit']}) at {row['location']}"
            yield f"put a {row['model']} in place of {place}{off}"
    yield from _partings(facts, rows)
    updated = sorted({update["unit"] for update in plan["updates"]})
    if updated:
        yield f"update {listed(updated)}"
    yield from _cable_acts(plan)


def _partings(facts: Case, rows: list[Row]) -> Iterator[str]:
    networked = {d.id for d in facts.devices if d.networked}
    removed = [unit_name(row) for row in rows if row["fate"] == "removed"]
    if removed:
        yield f"take out {listed(removed)}"
    off = [row for row in rows if row["fate"] == "stays" and not row["networked"]]
    off_names = [unit_name(row) for row in off if row["unit"] in networked]
    if off_names:
        yield f"leave {listed(off_names)} off the network"
    on = [r for r in rows if r["fate"] == "stays" and r["networked"]]
    on_names = [unit_name(row) for row in on if row["unit"] not in networked]
    if on_names:
        yield f"put {listed(on_names)} on the network"
    unplugged = [unit_name(row) for row in rows if row["fate"] == "disconnected"]
    if unplugged:
        yield f"leave {listed(unplugged)} disconnected"


def _cable_acts(plan: dict[str, Any]) -> Iterator[str]:
    bought = Counter(
        link["cable"][4:] for link in plan["links"] if link["cable"].startswith("buy:")
    )
    if bought:
        yield "pull " + listed([f"{count} × {name}" for name, count in sorted(bought.items())])


def name_of(facts: Case, name: str) -> str:
    """A request, a statement, a limit or a pin in words."""
    if name.startswith("pin-"):
        return f"what was pinned ({name})"
    if name == DC_LIMIT:
        return f"the power limit of {amps(facts.dc_limit_ma or 0)}"
    if name == MAX_NEW:
        return f"the limit of {counted(facts.max_new, 'new switch', 'new switches')}"
    for statement in facts.statements:
        if statement.id == name:
            return _statement(statement)
    return _request(facts, next(r for r in facts.requests if r.id == name))


def _statement(statement: Statement) -> str:
    return f"“{statement.text}” ({statement.id}; {statement.source}, {statement.seen})"


def _request(facts: Case, request: Request) -> str:
    if request.verb == "add":
        where = "on the network" if request.networked else "off the network"
        models = listed(request.models, "or") or "nothing that can be had"
        return f"the wish for {models} at {request.location}, {where} ({request.id})"
    name = device_name(facts, request.device or "")
    words = {
        "network": f"the wish for {name} on the network",
        "keep": f"the wish to keep {name}",
        "remove": f"the wish to take out {name}",
        "replace": f"the wish for {listed(request.models, 'or')} in place of {name}",
    }
    return f"{words[request.verb]} ({request.id})"
