"""What changed between two plans: the facts first, then the answers, in words."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from planner.plans import model_name, plan_columns
from planner.telling import opening_sentence, part_name
from shopapp import money as moneys

JsonDict = dict[str, Any]
SHELVES = ("models", "adapters", "leads", "fuses", "cables")
RATE_WORDS = {
    "labour_cents_per_minute": "Labour, cents a minute",
    "pull_minutes_base": "Minutes to begin a cable run",
    "pull_minutes_per_ft": "Minutes a foot of cable run",
    "drop_in_minutes": "Minutes to swap on the same holes",
    "fuse_minutes": "Minutes to change a fuse",
}


@dataclass(frozen=True)
class Change:
    """One change under its heading: what, before, after; an empty side was not there."""

    group: str
    what: str
    before: str = ""
    after: str = ""


def differ_in_facts(before: JsonDict, after: JsonDict, *, currency: str) -> list[Change]:
    """What the records and the catalogue say otherwise now."""
    return [
        *_in_wishes(before, after),
        *_in_units(before, after),
        *_in_routes(before, after),
        *_in_cables(before, after),
        *_in_limits(before, after),
        *_in_prices(before, after, currency),
        *_in_releases(before, after),
        *_in_statements(before, after),
    ]


def differ_in_answers(
    before: tuple[JsonDict, JsonDict | None],
    after: tuple[JsonDict, JsonDict | None],
    *,
    currency: str,
) -> list[Change]:
    """What the plans are otherwise now; each side is (case, answer)."""
    (old_case, old), (new_case, new) = before, after
    if old is None or new is None:
        return []
    changes = [Change("Plans", "Is there a plan?", _feasible(old), _feasible(new))]
    changes += [Change("Plans", "Cheapest", _cheapest(old, currency), _cheapest(new, currency))]
    changes = [change for change in changes if change.before != change.after]
    had, has = _sentences(old_case, old), _sentences(new_case, new)
    changes += [Change("Options", "No longer offered", text) for text in had if text not in has]
    changes += [Change("Options", "New option", "", text) for text in has if text not in had]
    return changes


def _feasible(answer: JsonDict) -> str:
    return {True: "yes", False: "no", None: "not known"}[answer["feasible"]]


def _cheapest(answer: JsonDict, currency: str) -> str:
    columns = plan_columns(answer)
    if not columns:
        return "none"
    plan = columns[0].plan
    counted = moneys.show(plan["penalty_cents"], currency)
    total = moneys.show(plan["total_cents"], currency)
    return f"{total}, of it {counted} counted for what is given up"


def _sentences(case: JsonDict, answer: JsonDict) -> list[str]:
    found = [opening_sentence(case, column.plan) for column in plan_columns(answer)]
    return list(dict.fromkeys(found))


def _compare(
    group: str,
    before: Mapping[Any, Any],
    after: Mapping[Any, Any],
    words: Callable[[Any], str],
    name: Callable[[Any], str] = str,
) -> Iterator[Change]:
    for key in [*before, *(key for key in after if key not in before)]:
        old, new = before.get(key), after.get(key)
        if old != new:
            old_words = "" if key not in before else words(old)
            new_words = "" if key not in after else words(new)
            yield Change(group, name(key), old_words, new_words)


def _in_wishes(before: JsonDict, after: JsonDict) -> Iterator[Change]:
    old, new = ({r["words"]: r["words"] for r in c["job"]["requests"]} for c in (before, after))
    for change in _compare("Wishes", old, new, str):
        yield Change(
            "Wishes", "Wish added" if change.after else "Wish dropped", change.before, change.after
        )
    switches = [case["job"]["switches"]["max_new"] for case in (before, after)]
    if switches[0] != switches[1]:
        yield Change("Wishes", "Most new switches", str(switches[0]), str(switches[1]))


def _in_units(before: JsonDict, after: JsonDict) -> Iterator[Change]:
    old, new = (
        {d["id"]: _unit_words(case, d) for d in case["boat"]["devices"]} for case in (before, after)
    )
    yield from _compare("Units aboard", old, new, str)


def _unit_words(case: JsonDict, device: JsonDict) -> str:
    release = f", release {device['release']}" if device["release"] else ""
    network = "on the network" if device["networked"] else "off the network"
    leads = device["adapters"]
    adapters = f", {leads} adapter lead{'s' if leads > 1 else ''} on it" if leads else ""
    name = model_name(case, device["model"])
    return f"{name} at {device['location']}{release}, {network}{adapters}"


def _in_routes(before: JsonDict, after: JsonDict) -> Iterator[Change]:
    old, new = (
        {" – ".join(sorted(r["between"])): r["feet"] for r in case["boat"]["routes"]}
        for case in (before, after)
    )
    yield from _compare("Routes", old, new, lambda feet: f"{feet} ft")


def _in_cables(before: JsonDict, after: JsonDict) -> Iterator[Change]:
    old, new = (
        {
            c["id"]: f"{part_name(case, c['cable'])}, {' – '.join(sorted(c['between']))}"
            for c in case["boat"]["cables"]
        }
        for case in (before, after)
    )
    yield from _compare("Cables in place", old, new, str)


def _in_limits(before: JsonDict, after: JsonDict) -> Iterator[Change]:
    old, new = (
        {
            "Electronics feed limit": case["boat"]["dc_limit_ma"],
            "Slack for each cable, ft": case["boat"]["slack_ft"],
            **{words: case["catalogue"]["rates"][key] for key, words in RATE_WORDS.items()},
        }
        for case in (before, after)
    )
    yield from _compare("Limits and rates", old, new, _limit_words)


def _limit_words(value: int | None) -> str:
    return "not known" if value is None else f"{value:,}"


def _in_prices(before: JsonDict, after: JsonDict, currency: str) -> Iterator[Change]:
    old, new = (
        {
            part: row["price_cents"]
            for shelf in SHELVES
            for part, row in case["catalogue"][shelf].items()
            if not row.get("not_in_sale")
        }
        for case in (before, after)
    )
    both = {part: cents for part, cents in old.items() if part in new}
    now = {part: new[part] for part in both}

    def words(cents: int | None) -> str:
        return "cannot be bought" if cents is None else moneys.show(cents, currency)

    yield from _compare("Prices", both, now, words, lambda part: part_name(after, part))


def _in_releases(before: JsonDict, after: JsonDict) -> Iterator[Change]:
    old, new = (case["catalogue"]["models"] for case in (before, after))
    both = [code for code in old if code in new]
    yield from _compare(
        "Firmware",
        {code: _firmware(old[code]) for code in both},
        {code: _firmware(new[code]) for code in both},
        str,
        lambda code: model_name(after, code),
    )


def _firmware(model: JsonDict) -> str:
    if not model["releases"]:
        return "no firmware"
    steps = ", ".join(
        sorted(f"{u['from']} → {u['to']} {u['minutes']} min" for u in model["updates"])
    )
    ways = f"; updates {steps}" if steps else ""
    return f"{', '.join(model['releases'])}; ships with {model['ships_with']}{ways}"


def _in_statements(before: JsonDict, after: JsonDict) -> Iterator[Change]:
    old, new = ({s["id"]: s for s in case["catalogue"]["statements"]} for case in (before, after))
    for code in [*old, *(code for code in new if code not in old)]:
        was, now = old.get(code), new.get(code)
        if was and now and (was["rule"], was["text"]) == (now["rule"], now["text"]):
            continue
        texts = [f"“{row['text']}”" if row else "" for row in (was, now)]
        if texts[0] == texts[1]:
            texts[1] += " (its rule changed)"
        yield Change("Statements", code, *texts)
