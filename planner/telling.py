"""A plan in a customer's words. Works on the case and the plan as they are kept."""

import re
from collections import Counter
from collections.abc import Iterable
from typing import Any

from planner.plans import device_of, model_name, unit_label

JsonDict = dict[str, Any]


def listed(words: Iterable[str]) -> str:
    """Words with commas and a last "and"; equal ones are counted."""
    counts = Counter(words)
    said = [word if count == 1 else f"{count} × {word}" for word, count in counts.items()]
    return " and ".join(filter(None, [", ".join(said[:-1]), *said[-1:]]))


def bought_words(case: JsonDict, plan: JsonDict) -> list[str]:
    """What is bought, equipment first: "2 × Network cable 20 ft"."""
    models = case["catalogue"]["models"]
    parts = sorted(plan["parts"].items(), key=lambda pair: (pair[0] not in models, pair[0]))
    return [f"{count} × {part_name(case, part)}" for part, count in parts if count]


def part_name(case: JsonDict, part: str) -> str:
    """A part's name as it stood; a model is a part too."""
    name = case.get("show", {}).get("parts", {}).get(part, {}).get("name")
    return name or model_name(case, part)


def given_up_words(case: JsonDict, plan: JsonDict) -> list[str]:
    """What a plan gives up, in words."""
    return [words for _, words in given_up(case, plan)]


def given_up(case: JsonDict, plan: JsonDict) -> list[tuple[str, str]]:
    """What a plan gives up, unit by unit, as (name, words): out unasked, or off the network."""
    asked = {r["remove"] for r in case["job"]["requests"] if "remove" in r}
    found = []
    for unit in plan["units"]:
        was = device_of(case, unit["unit"])
        if was is None or case["catalogue"]["models"][was["model"]]["kind"] == "switch":
            continue
        label = f"{unit['unit']} ({model_name(case, was['model'])})"
        if unit["fate"] == "removed" and unit["unit"] not in asked:
            found.append((unit["unit"], f"{label} comes out"))
        elif unit["fate"] != "removed" and was["networked"] and not unit["networked"]:
            found.append((unit["unit"], f"{label} leaves the network"))
    return found


def update_words(case: JsonDict, plan: JsonDict) -> list[str]:
    """What must be updated, each unit with its stops: "d1: 2.0 → 2.2 → 2.6"."""
    ways: dict[str, list[str]] = {}
    for step in plan["updates"]:
        ways.setdefault(step["unit"], [step["from"]]).append(step["to"])
    labels = {unit["unit"]: unit_label(case, unit) for unit in plan["units"]}
    return [f"{labels[name]}: {' → '.join(stops)}" for name, stops in ways.items()]


def opening_sentence(case: JsonDict, plan: JsonDict) -> str:
    """One sentence that says what this option does and what it costs in things given up."""
    acts = list(filter(None, [_fitted(case, plan), *_changed(case, plan)]))
    doing = listed(acts) if acts else "nothing needs to change"
    lost = given_up_words(case, plan)
    end = f"; given up: {listed(lost)}" if lost else "; nothing that works today is given up"
    return f"{doing[0].upper()}{doing[1:]}{end}."


def _fitted(case: JsonDict, plan: JsonDict) -> str:
    added = [
        f"a new {model_name(case, u['model'])} at {u['location']}"
        for u in plan["units"]
        if u["fate"] == "added"
    ]
    return f"fit {listed(added)}" if added else ""


def _changed(case: JsonDict, plan: JsonDict) -> Iterable[str]:
    replaced = [
        f"{unit['unit']} by a {model_name(case, unit['model'])}"
        for unit in plan["units"]
        if unit["fate"] == "replaced"
    ]
    if replaced:
        yield f"replace {listed(replaced)}"
    removed = [unit["unit"] for unit in plan["units"] if unit["fate"] == "removed"]
    if removed:
        yield f"take out {listed(removed)}"
    joined = [u["unit"] for u in plan["units"] if _joins(case, u)]
    if joined:
        yield f"put {listed(joined)} on the network"
    updated = dict.fromkeys(step["unit"] for step in plan["updates"])
    labels = {unit["unit"]: unit_label(case, unit) for unit in plan["units"]}
    if updated:
        yield f"update {listed(labels[name] for name in updated)}"


def _joins(case: JsonDict, unit: JsonDict) -> bool:
    was = device_of(case, unit["unit"])
    return was is not None and unit["networked"] and not was["networked"]


def in_names(case: JsonDict, text: str) -> str:
    """The text with models and parts by their names instead of their codes."""
    show = case.get("show", {})
    names = {code: row["name"] for code, row in show.get("parts", {}).items()}
    names |= {code: row["name"] for code, row in show.get("models", {}).items()}
    if not names:
        return text
    codes = sorted(names, key=len, reverse=True)
    pattern = rf"(?<![\w-])(?:{'|'.join(map(re.escape, codes))})(?![\w-])"
    return re.sub(pattern, lambda found: names[found.group()], text)


def in_words(case: JsonDict, plan: JsonDict, text: str) -> str:
    """The text with models, parts and new units by their names instead of their codes."""
    new = {
        unit["unit"]: unit_label(case, unit)
        for unit in plan["units"]
        if device_of(case, unit["unit"]) is None and not unit.get("named")
    }
    for name, label in new.items():
        text = re.sub(rf"\({re.escape(name)}, ", "(new, ", text)
        text = re.sub(rf"(?<![\w-]){re.escape(name)}(?![\w-])", f"the {label}", text)
    return in_names(case, text)
