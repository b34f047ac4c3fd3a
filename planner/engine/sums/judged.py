"""A sum's answer by the shop's own rules: what they ask for beside the built-in answer."""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any

from planner.engine.sums.cable_run import find_cable_run
from planner.engine.sums.conductor import size_conductor
from planner.engine.sums.current import allowed_amps
from planner.engine.sums.fuses import RATINGS
from planner.engine.sums.gauges import SOLD
from planner.engine.sums.local_rules import LocalRules, built_in
from planner.engine.sums.results import SumResult

_HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class LocalAnswer:
    """What a shop's rule asks for: `tone` good or stop, `words`, and the rule's `name`.

    `own` is false where the shop has no rule of its own and the built-in limit is told.
    """

    name: str
    tone: str
    words: str
    own: bool

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return asdict(self)


def judge_by_rules(name: str, result: SumResult, rules: LocalRules) -> list[LocalAnswer]:
    """The answer of a sum held against the rules in force; empty where none speaks of it."""
    judge = _JUDGES.get(name)
    return judge(result, rules) if judge else []


def conductor_by_rules(
    result: SumResult, rules: LocalRules, *, critical: bool = True
) -> str | None:
    """The conductor that the shop's rules ask for; null beyond 4/0.

    `critical` circuits are those of 3 % (electronics, feeders, navigation lights).
    """
    given = result.inputs
    limit = rules.value("drop_percent" if critical else "other_drop_percent")
    drop = min(given["drop_percent"], limit)
    awg = size_conductor(**{**given, "drop_percent": drop}).values["awg"]
    if awg is None or rules.smallest_awg is None:
        return awg
    return str(max(awg, rules.smallest_awg, key=SOLD.index))


def both_areas(result: SumResult) -> dict[str, str | None]:
    """The conductor by either list of areas."""
    return {
        areas: size_conductor(**{**result.inputs, "areas": areas}).values["awg"]
        for areas in ("sae", "awg")
    }


def largest_fuse_by_rules(carried_amps: float, rules: LocalRules) -> float:
    """The largest rating for a conductor that may carry so much, by the share in force."""
    return carried_amps * rules.value("fuse_percent") / 100


def _own(name: str, rules: LocalRules, tone: str, text: str) -> LocalAnswer:
    return LocalAnswer(name, tone, text, rules.is_own(name))


def _conductor(result: SumResult, rules: LocalRules) -> list[LocalAnswer]:
    asked = result.inputs["drop_percent"]
    name = "drop_percent" if asked <= built_in("drop_percent").value else "other_drop_percent"
    answers = []
    awg = conductor_by_rules(result, rules, critical=name == "drop_percent")
    size = "more than 4/0" if awg is None else f"{awg} AWG"
    if rules.is_own(name) and rules.value(name) < asked:
        answers.append(_own(name, rules, "look", f"At {rules.value(name):g} % drop: {size}."))
    elif asked > rules.value(name):
        answers.append(
            _own(name, rules, "stop", f"{asked:g} % is more than {rules.value(name):g} %: {size}.")
        )
    smallest, found = rules.smallest_awg, result.values["awg"]
    if smallest and found and SOLD.index(found) < SOLD.index(smallest):
        text = f"Nothing smaller than {smallest} AWG is fitted: {size}."
        answers.append(LocalAnswer("smallest_awg", "look", text, True))
    return answers


def _gauge(result: SumResult, rules: LocalRules) -> list[LocalAnswer]:
    smallest, asked = rules.smallest_awg, result.inputs["awg"]
    if not smallest or asked not in SOLD or SOLD.index(asked) >= SOLD.index(smallest):
        return []
    text = f"{asked} AWG is smaller than the {smallest} AWG that the shop fits."
    return [LocalAnswer("smallest_awg", "stop", text, True)]


def _largest_fuse(result: SumResult, rules: LocalRules) -> list[LocalAnswer]:
    answers = _gauge(result, rules)
    if rules.is_own("fuse_percent"):
        given = result.inputs
        carried = allowed_amps(
            given["awg"], given["insulation_c"], given["engine_space"], given["bundled"]
        )
        amps, share = largest_fuse_by_rules(carried, rules), rules.value("fuse_percent")
        text = f"At {share:g} % of the ampacity: {amps:g} A."
        answers.append(_own("fuse_percent", rules, "look", text))
    return answers


def _fuse_for_load(result: SumResult, rules: LocalRules) -> list[LocalAnswer]:
    if not rules.is_own("fuse_load_percent"):
        return []
    share = rules.value("fuse_load_percent")
    wanted = result.inputs["continuous_amps"] * share / 100
    fuse = next((rating for rating in RATINGS if wanted <= rating + _HAIR), None)
    found = "no blade fuse is large enough" if fuse is None else f"{fuse:g} A"
    return [_own("fuse_load_percent", rules, "look", f"At {share:g} % of the load: {found}.")]


def _bus_drop(result: SumResult, rules: LocalRules) -> list[LocalAnswer]:
    return [_drop_words(result.values["drop_volts"], rules)]


def _drop_words(volts: float, rules: LocalRules) -> LocalAnswer:
    limit = rules.value("bus_drop_volts")
    if volts <= limit + _HAIR:
        return _own("bus_drop_volts", rules, "good", f"{volts:.2f} V lost; {limit:g} V may be.")
    text = f"{volts:.2f} V lost is more than {limit:g} V: feed from the middle, or twice."
    return _own("bus_drop_volts", rules, "stop", text)


def _backbone(result: SumResult, rules: LocalRules) -> list[LocalAnswer]:
    answers = []
    lost, worst = result.values["bus_drop_volts"], result.values["worst_volts"]
    if lost is not None:
        answers.append(_drop_words(lost, rules))
    if worst is not None:
        limit = rules.value("bus_lowest_volts")
        tone = "good" if worst >= limit - _HAIR else "stop"
        text = f"The lowest node has {worst:.2f} V; {limit:g} V at least is asked for."
        answers.append(_own("bus_lowest_volts", rules, tone, text))
    return answers


def _cable_run(result: SumResult, rules: LocalRules) -> list[LocalAnswer]:
    own = [name for name in ("slack_ft", "slack_percent") if rules.is_own(name)]
    if not own:
        return []
    given = result.inputs
    strict = {name: max(given[name], rules.value(name)) for name in ("slack_ft", "slack_percent")}
    found = find_cable_run(**{**given, **strict}).values
    buy = "none sold reaches" if found["buy_ft"] is None else f"buy {found['buy_ft']:g} ft"
    slack = f"{strict['slack_ft']:g} ft or {strict['slack_percent']:g} %"
    text = f"With {slack} of slack {found['needed_ft']:g} ft are needed: {buy}."
    return [_own(own[0], rules, "look", text)]


def _compass(_result: SumResult, rules: LocalRules) -> list[LocalAnswer]:
    metres = rules.value("compass_m")
    text = f"Where the maker gives no distance, keep {metres:g} m from the compass."
    return [_own("compass_m", rules, "look", text)]


def _compass_distance(result: SumResult, rules: LocalRules) -> list[LocalAnswer]:
    if result.inputs["safe_cm"] is not None or not rules.is_own("compass_m"):
        return []
    usual = rules.value("compass_m") * 100
    tone = "look" if result.inputs["there_cm"] >= usual else "stop"
    text = f"Where the maker gives no distance, {usual:g} cm is asked for."
    return [_own("compass_m", rules, tone, text)]


def _circuit_fuse(result: SumResult, rules: LocalRules) -> list[LocalAnswer]:
    answers = _largest_fuse(result, rules)
    given = result.inputs
    if rules.is_own("fuse_percent"):
        most = largest_fuse_by_rules(result.values["most_amps"] / 1.5, rules)
        fuse = given["fitted_amps"] or result.values["amps"]
        if fuse is not None and fuse > most + _HAIR:
            text = f"{fuse:g} A is more than the {most:g} A that the shop allows on this wire."
            answers.append(_own("fuse_percent", rules, "stop", text))
    return answers + (_fuse_for_load(result, rules) if given["maker_amps"] is None else [])


_JUDGES: dict[str, Callable[[SumResult, LocalRules], list[LocalAnswer]]] = {
    "conductor": _conductor,
    "ampacity": _gauge,
    "largest_fuse": _largest_fuse,
    "fuse_for_load": _fuse_for_load,
    "bus_drop": _bus_drop,
    "backbone": _backbone,
    "cable_run": _cable_run,
    "compass": _compass,
    "compass_distance": _compass_distance,
    "circuit_fuse": _circuit_fuse,
}
