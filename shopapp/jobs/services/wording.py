"""Words for options and lines: what a plan does, said so that a customer understands."""

from dataclasses import dataclass
from typing import Any

from planner.telling import listed
from shopapp.jobs.services.planned import Work

JsonDict = dict[str, Any]
TITLE_LIMIT = 120
LINE_LIMIT = 200
STRATEGY_WORDS = {
    # The planner weighs what is given up as money, so its cheapest need not be the lowest bill.
    "cheapest": "cheapest, losses counted",
    "keep_all": "keeps everything",
    "fewest_changes": "fewest changes",
    "newest": "newest firmware",
}

# On the customer's paper the weighing of losses is our business, not theirs.
TITLE_WORDS = STRATEGY_WORDS | {"cheapest": "best value"}


@dataclass(frozen=True)
class Names:
    """Names of models and parts as they stood when the plan was made; else their ids."""

    models: JsonDict
    parts: JsonDict

    def model(self, code: str) -> str:
        """A model's name."""
        return self.models.get(code, {}).get("name") or code

    def part(self, number: str) -> str:
        """A part's name; a model is a part too."""
        return self.parts.get(number, {}).get("name") or self.model(number)


def names_of(case: JsonDict) -> Names:
    """The names kept with the case."""
    show = case.get("show", {})
    return Names(show.get("models", {}), show.get("parts", {}))


def work_words(item: Work, names: Names) -> str:
    """A labour line's description."""
    model, old = names.model(item.model), names.model(item.old_model)
    words = {
        "fit": f"Fit {model} at {item.place}",
        "remove": f"Take out {model} at {item.place}",
        "swap": f"Swap {old} for {model} on the same holes, {item.place}",
        "fuse": f"Change the fuse for {model} at {item.place}",
        "pull": f"Run {names.part(item.model)}, {item.place}",
        "update": f"Update {unit_words(item.unit, model)}: {item.detail}",
    }
    return words[item.verb][:LINE_LIMIT]


def unit_words(unit: str, model: str) -> str:
    """A unit by its own name aboard; a new one by its model."""
    return f"the new {model}" if unit.startswith(("wish-", "new")) else unit


def acts_of(case: JsonDict, plan: JsonDict) -> dict[str, list[str]]:
    """What a plan does, by act: added, switches, replaced, removed, left_off, disconnected."""
    names = names_of(case)
    models = case["catalogue"]["models"]
    before = {device["id"]: device for device in case["boat"]["devices"]}
    acts: dict[str, list[str]] = {name: [] for name in ACTS}
    for unit in plan["units"]:
        model = names.model(unit["model"])
        act = _act(unit, before, models[unit["model"]]["kind"])
        new = model if act in {"added", "switches"} else unit["unit"]
        words = f"{unit['unit']} by {model}" if act == "replaced" else new
        if act:
            acts[act].append(words)
    return acts


ACTS = ("added", "switches", "replaced", "removed", "left_off", "disconnected")


def _act(unit: JsonDict, before: JsonDict, kind: str) -> str:
    if unit["fate"] == "added":
        return "switches" if kind == "switch" else "added"
    if unit["fate"] in {"replaced", "removed", "disconnected"}:
        return unit["fate"]
    was = before.get(unit["unit"], {}).get("networked")
    return "left_off" if was and not unit["networked"] else ""


TITLES = {
    "added": "Fit {}",
    "replaced": "replace {}",
    "switches": "add {}",
    "removed": "take out {}",
    "disconnected": "retire {}",
    "left_off": "leave {} off the network",
}


def title_of(case: JsonDict, plan: JsonDict) -> str:
    """An option's name, by what it does: `Fit Display R, add Switch B; keep the rest`."""
    acts = acts_of(case, plan)
    said = [TITLES[act].format(listed(acts[act])) for act in TITLES if acts[act]]
    if not said:
        return "Keep and link" if plan["links"] else "Keep as it is"
    whole = not (acts["replaced"] or acts["removed"] or acts["left_off"])
    words = ", ".join(said) + ("; keep the rest" if whole else "")
    return _cut(words[0].upper() + words[1:], TITLE_LIMIT)


def wishes_of(case: JsonDict) -> str:
    """What was wished for, as a title: `Fit Display R at bow and network d3`."""
    said = listed(filter(None, [_wish(row, case) for row in case["job"]["requests"]]))
    return _cut(said[0].upper() + said[1:], TITLE_LIMIT) if said else "Refit"


def _wish(row: JsonDict, case: JsonDict) -> str:
    if "add" in row:
        return f"fit {_wanted(row['add'], case)} at {row['location']}"
    if "replace" in row:
        return f"replace {row['replace']}"
    if "network" in row:
        return f"network {row['network']}"
    return f"take out {row['remove']}" if "remove" in row else ""


def _wanted(codes: list[str], case: JsonDict) -> str:
    if len(codes) == 1:
        return names_of(case).model(codes[0])
    kinds = {case["catalogue"]["models"][code]["kind"] for code in codes}
    return f"a new {kinds.pop()}" if len(kinds) == 1 and "other" not in kinds else "a new unit"


def _cut(text: str, limit: int) -> str:
    return text if len(text) <= limit else f"{text[: limit - 1].rstrip()}…"


def plain_title(title: str) -> str:
    """An option's title without what told it apart from its rivals."""
    for words in TITLE_WORDS.values():
        title = title.removesuffix(f" ({words})")
    return title


def told_apart(titles: list[str], strategies: list[list[str]]) -> list[str]:
    """Titles of which no two are equal: a strategy's words, else a number, tells them apart."""
    seen: dict[str, int] = {}
    told = []
    for title, chosen_by in zip(titles, strategies, strict=True):
        words = [TITLE_WORDS[name] for name in chosen_by if name in TITLE_WORDS]
        name = title
        if titles.count(title) > 1 and words:
            name = _cut(f"{title} ({words[0]})", TITLE_LIMIT)
        seen[name] = seen.get(name, 0) + 1
        told.append(name if seen[name] == 1 else f"{_cut(name, TITLE_LIMIT - 6)} ({seen[name]})")
    return told
