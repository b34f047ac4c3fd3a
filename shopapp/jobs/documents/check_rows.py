"""The checks of a plan on paper: what is not good in full, what is good in one line each."""

from typing import Any

from planner.checks.shown import CAUTION, groups_of

Facts = dict[str, Any]
LEFT_ALONE = "left alone"


def check_facts(checks: Facts | None) -> Facts:
    """Counts, rows and the cautions beside them; `known` is false where none were ever made."""
    groups = groups_of(checks)
    return {
        "known": checks is not None,
        "caution": CAUTION,
        "counts": [f"{len(group['findings'])} {group['words'].lower()}" for group in groups],
        "rows": [
            _row(group, finding)
            for group in groups
            if group["state"] != "good"
            for finding in group["findings"]
            if finding["about"] != LEFT_ALONE
        ],
        "left_alone": _left_alone(groups),
        "good": [
            {
                "title": finding["title"],
                "label": finding["label"],
                "result": finding["result"] or finding["words"],
                "margin": finding["margin"],
            }
            for group in groups
            if group["state"] == "good"
            for finding in group["findings"]
        ],
        "kit": [
            {"count": need["quantity"], "words": need["words"], "why": need["why"]}
            for need in (checks or {}).get("kit", [])
        ],
        "taken": len((checks or {}).get("taken", [])),
    }


def _left_alone(groups: list[Facts]) -> Facts | None:
    """What is not known of units that the plan leaves alone, in one row."""
    found = [f for group in groups for f in group["findings"] if f["about"] == LEFT_ALONE]
    if not found:
        return None
    measures = {one["key"]: one["what"] for finding in found for one in finding["measures"]}
    return {
        "titles": [finding["title"].lower() for finding in found],
        "measures": list(measures.values()),
    }


def _row(group: Facts, finding: Facts) -> Facts:
    return {
        "state": group["state"],
        "state_words": group["words"],
        "title": finding["title"],
        "label": finding["label"],
        "place": finding["place"],
        "words": finding["words"],
        "source": finding["source"],
        "measures": [measure["what"] for measure in finding["measures"]],
        "remedies": [remedy["words"] for remedy in finding["remedies"]],
    }
