"""An answer as a page of plain words: what a service writer could read out."""

from collections.abc import Iterator
from typing import Any

from planner.engine.explain import name_of, say_becomes, tell_conflict, tell_options
from planner.engine.facts import Case
from planner.engine.reading import read_case
from planner.engine.words import counted, lasting, listed, money, unit_name

JsonDict = dict[str, Any]
_STRATEGY_WORDS = {
    "cheapest": "the cheapest",
    "keep_all": "the cheapest that keeps every unit aboard and on the network",
    "fewest_changes": "the one that touches the fewest units",
    "newest": "the one with the newest firmware",
}


def tell_page(case: JsonDict, answer: JsonDict) -> str:
    """A page of plain words that a service writer could read out."""
    return "\n".join(_page(read_case(case), case, answer)) + "\n"


def _page(facts: Case, case: JsonDict, answer: JsonDict) -> Iterator[str]:
    if answer.get("proven") is False:
        yield "Time ran out: this is the best found so far, not proven to be the best."
    if answer["feasible"] is None:
        yield "No plan was found in the time given; whether there is one is not known."
    elif answer["feasible"]:
        yield from _strategies(answer)
        yield from _options(facts, case, answer)
    else:
        yield from _clash(facts, case, answer)


def _strategies(answer: JsonDict) -> Iterator[str]:
    """A line for each plan that a strategy chose; strategies that chose the same share it."""
    told: list[tuple[list[str], JsonDict]] = []
    for name, plan in answer["strategies"].items():
        if plan is None:
            known = answer.get("bounds", {}).get(name, {}).get("proven", True)
            words = "there is no such plan" if known else "none found yet; not known"
            yield f"{_capital(_STRATEGY_WORDS[name])}: {words}."
            continue
        same = next((names for names, other in told if other == plan), None)
        if same is None:
            told.append(([name], plan))
        else:
            same.append(name)
    for names, plan in told:
        words = listed([_STRATEGY_WORDS[name] for name in names])
        yield f"{_capital(words)}{_place(answer, plan)}: {_sums(plan)}{_doubt(names[0], plan)}"


def _place(answer: JsonDict, plan: JsonDict) -> str:
    """Which option a strategy's plan is, where it is one."""
    for number, option in enumerate(answer["options"], 1):
        if all(plan[key] == option[key] for key in option):
            return f" (option {number})"
    return ""


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _options(facts: Case, case: JsonDict, answer: JsonDict) -> Iterator[str]:
    sentences = tell_options(case, answer)
    for number, (sentence, plan) in enumerate(zip(sentences, answer["options"], strict=True), 1):
        yield ""
        yield f"Option {number}. {sentence}"
        yield from _lines(facts, plan)


def _clash(facts: Case, case: JsonDict, answer: JsonDict) -> Iterator[str]:
    """What cannot hold together, and each way out, a line each."""
    ways = answer.get("relaxations")
    if not answer.get("conflict") or not ways:
        yield tell_conflict(case, answer) or "No plan meets everything asked."
        return
    yield "No plan meets everything asked. These cannot all hold together:"
    for name in answer["conflict"]:
        yield f"  - {name_of(facts, name)}"
    singles = [ids[0] for ids in ways if len(ids) == 1]
    pairs = [ids for ids in ways if len(ids) > 1]
    if singles:
        yield "There is a plan as soon as any one of these is given up:"
    for name in singles:
        yield f"  - {name_of(facts, name)}"
    if pairs:
        yield (
            "There is a plan too once both of these are given up:"
            if singles
            else ("There is a plan as soon as both of these are given up:")
        )
    for ids in pairs:
        yield f"  - {', together with '.join(name_of(facts, name) for name in ids)}"


def _doubt(name: str, plan: JsonDict) -> str:
    """How far from the best a plan may be whose search was ended; nothing where it is proven."""
    if plan.get("proven", True):
        return ""
    bound, gap = plan["bound"], plan["gap"]
    if name == "fewest_changes":
        return f" Not proven: the best touches at least {counted(bound, 'unit')}, {gap} fewer."
    if name == "newest":
        return f" Not proven: at least {bound} are behind in the best, {gap} fewer."
    return f" Not proven: the best costs at least {money(bound)}, {money(gap)} less."


def _sums(plan: JsonDict) -> str:
    given_up = plan["penalty_cents"]
    behind = plan["behind"]
    return (
        f"{money(plan['total_cents'])} in all: parts {money(plan['parts_cents'])}, "
        f"labour {lasting(plan['labour_minutes'])}"
        f"{f', {money(given_up)} for what is given up' if given_up else ''}; "
        f"{counted(plan['changes'], 'unit')} touched, "
        f"{f'{behind} not at the last release' if behind else 'all at the last release'}."
    )


def _lines(facts: Case, plan: JsonDict) -> Iterator[str]:
    yield f"  {_sums(plan)}"
    for row in plan["units"]:
        yield f"  {unit_name(row)}: {say_becomes(facts, row)}"
    for link in plan["links"]:
        cable = link["cable"]
        word = f"new cable {cable[4:]}" if cable.startswith("buy:") else f"cable aboard {cable}"
        yield f"  {link['between'][0]} to {link['between'][1]}: {word}"
    for update in plan["updates"]:
        yield f"  update {update['unit']} from {update['from']} to {update['to']}"
    parts = [f"{count} × {name}" for name, count in plan["parts"].items()]
    yield f"  to buy: {listed(parts) or 'nothing'}"
