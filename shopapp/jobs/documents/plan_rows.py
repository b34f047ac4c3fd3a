"""Rows of a plan as papers show them: units, links with ports, updates. Pure: JSON in, rows out.

Names come from the case's own `show` part, so that an old paper says what was known then.
"""

from typing import Any

Json = dict[str, Any]
Rows = list[Json]
BUY = "buy:"
NEW_IDS = ("wish-", "new")
FATES = {
    "stays": "kept",
    "replaced": "replaced",
    "removed": "taken out",
    "added": "new",
    "disconnected": "left in place, unplugged",
}


class PlanPaper:
    """A case and its plan, read for paper."""

    def __init__(self, case: Json, plan: Json) -> None:
        self.case, self.plan = case, plan
        self.units: Rows = plan.get("units", [])
        self.links: Rows = plan.get("links", [])
        self.boat: Json = case.get("boat", {})
        self.show: Json = case.get("show", {})
        self.before = {device["id"]: device for device in self.boat.get("devices", [])}
        self.models_at_end = {unit["unit"]: unit["model"] for unit in self.units}
        self.names = _unit_names(self)

    def model(self, code: str) -> str:
        """Maker and name of a model; its code where the case kept no name."""
        kept = self.show.get("models", {}).get(code, {})
        return " ".join(filter(None, [kept.get("maker"), kept.get("name") or code]))

    def part(self, number: str) -> str:
        """A part's name; its number where the case kept none."""
        return self.show.get("parts", {}).get(number, {}).get("name") or number

    def codes(self) -> set[str]:
        """The models that the boat has or gets."""
        return {device["model"] for device in self.before.values()} | set(
            self.models_at_end.values()
        )


def _unit_names(paper: PlanPaper) -> dict[str, str]:
    """Units aboard keep their short names; new ones go by their model, numbered where alike."""
    names: dict[str, str] = {}
    for unit in paper.units:
        key = unit["unit"]
        name = key
        if unit["fate"] == "added" and key.startswith(NEW_IDS):
            name = f"new {paper.model(unit['model'])}"
        alike = sum(1 for one in names.values() if one.split(" #")[0] == name)
        names[key] = f"{name} #{alike + 1}" if alike else name
    return names


def unit_rows(paper: PlanPaper) -> Rows:
    """Every unit of the plan: what it is at the end, what it was, and what happens to it."""
    return [_unit_row(paper, unit, paper.before.get(unit["unit"])) for unit in paper.units]


def _unit_row(paper: PlanPaper, unit: Json, was: Json | None) -> Json:
    same_unit = was is not None and unit["fate"] != "replaced"
    old_release = was["release"] if same_unit else None
    updated = bool(old_release) and unit["release"] != old_release
    was_on, is_on = bool(was and was["networked"]), unit["networked"]
    return {
        "unit": paper.names[unit["unit"]],
        "model": paper.model(unit["model"]),
        "was": paper.model(was["model"]) if was and not same_unit else "",
        "place": unit["location"],
        "fate": FATES[unit["fate"]],
        "kept": unit["fate"] == "stays" and not updated and was_on == is_on,
        "networked": is_on,
        "left_network": was_on and not is_on and unit["fate"] != "removed",
        "joined_network": was is not None and is_on and not was_on,
        "release": unit["release"] or "",
        "release_before": old_release if updated else "",
        "release_sure": not same_unit or _release_known(paper, unit["unit"]),
    }


def _release_known(paper: PlanPaper, unit: str) -> bool:
    return paper.show.get("units", {}).get(unit, {}).get("release_known", True)


def link_rows(paper: PlanPaper, ports: Rows) -> Rows:
    """Every link: from unit and port to unit and port, cable, feet, label, new or kept.

    `ports` are the links with their ports as planned. A port that nobody knows stays None: the
    paper leaves room to write it down.
    """
    known = {frozenset(entry["between"]): entry for entry in ports}
    installed = {cable["id"]: cable for cable in paper.boat.get("cables", [])}
    return [
        _link_row(paper, link, known.get(frozenset(link["between"]), {}), installed)
        for link in paper.links
    ]


def _link_row(paper: PlanPaper, link: Json, entry: Json, installed: dict[str, Json]) -> Json:
    a, b = link["between"]
    is_new = link["cable"].startswith(BUY)
    part = link["cable"].removeprefix(BUY) if is_new else installed[link["cable"]]["cable"]
    sold = paper.case.get("catalogue", {}).get("cables", {})
    a_end, b_end = _end(paper, entry, a), _end(paper, entry, b)
    made_up = f"{a_end['words']} – {b_end['words']}"
    return {
        "a": a_end,
        "b": b_end,
        "part": part,
        "cable": paper.part(part),
        "feet": sold.get(part, {}).get("feet"),
        "label": made_up if is_new else link["cable"],
        "new": is_new,
    }


def _end(paper: PlanPaper, entry: Json, unit: str) -> Json:
    ports = entry.get("ports", {})
    if not isinstance(ports, dict):
        ports = dict(zip(entry["between"], ports, strict=True))
    port, name = ports.get(unit), paper.names[unit]
    return {"unit": name, "port": port, "words": name if port is None else f"{name}:{port}"}


def idle_cables(paper: PlanPaper) -> list[str]:
    """Labels of cables aboard that the plan does not use: unplugged, capped, left in place."""
    used = {link["cable"] for link in paper.links}
    return [one["id"] for one in paper.boat.get("cables", []) if one["id"] not in used]


def update_rows(paper: PlanPaper, means: dict[tuple[str, str, str], str]) -> Rows:
    """Every single firmware step in its order, with minutes and means where they are known.

    `means` maps (model, from, to) to words.
    """
    return [_update_row(paper, step, means) for step in paper.plan.get("updates", [])]


def _update_row(paper: PlanPaper, step: Json, means: dict[tuple[str, str, str], str]) -> Json:
    model = paper.models_at_end[step["unit"]]
    known = paper.case.get("catalogue", {}).get("models", {}).get(model, {}).get("updates", [])
    way = (step["from"], step["to"])
    minutes = [row["minutes"] for row in known if (row["from"], row["to"]) == way]
    return {
        "unit": paper.names[step["unit"]],
        "model": paper.model(model),
        "before": step["from"],
        "after": step["to"],
        "minutes": minutes[0] if minutes else None,
        "means": means.get((model, *way), ""),
    }
