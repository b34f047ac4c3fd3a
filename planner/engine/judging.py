"""Whether some units work together: asked of a pair or a set, without a boat around them.

The units are set up in one place, with cables enough, and planned by the rules that every case
is planned by. What the best plan had to do (update, buy a part, leave a unit off the network)
is the verdict; where a release is not known, every release that it may be is tried.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations, islice, product
from typing import Any, NamedTuple

from planner.engine.bench import BENCH_CABLE, bench_case, bench_device, read_units
from planner.engine.facts import Case, Statement
from planner.engine.inquiry import Inquiry
from planner.engine.pins import CountPin, Pin, UnitPin
from planner.engine.plans import plan_of
from planner.engine.problem import Problem
from planner.engine.reading import read_case
from planner.engine.speaking import role_of, said_of, speaks_of_both
from planner.engine.words import listed

JsonDict = dict[str, Any]
WORKS, AFTER_UPDATE, WITH_PART = "works", "works_after_update", "works_with_part"
REDUCED, ISOLATED = "works_reduced", "only_if_isolated"
NOT_KNOWN, DOES_NOT = "not_known", "does_not_work"
VERDICTS = (WORKS, AFTER_UPDATE, WITH_PART, REDUCED, ISOLATED, NOT_KNOWN, DOES_NOT)
WORDS = {
    WORKS: "Works",
    AFTER_UPDATE: "Works after update",
    WITH_PART: "Works with part",
    REDUCED: "Works reduced",
    ISOLATED: "Only if isolated",
    NOT_KNOWN: "Not known",
    DOES_NOT: "Does not work",
}
_MOST_STANDS = 200


class Finding(NamedTuple):
    """A verdict with its needs: dicts with `need`, `unit`, `text` and more by kind of need."""

    verdict: str
    needs: list[JsonDict]


def judge(
    catalogue: JsonDict,
    units: Sequence[JsonDict],
    statements_meta: Mapping[str, JsonDict] | None = None,
) -> JsonDict:
    """Judge units against each other.

    `units`: at most 24 of `{"model", "release": text or null (not known), "behind": switch model
    or null}`; each switch model named by `behind` stands between them once. `statements_meta`
    maps statement ids to what is known beyond the catalogue: `confidence`, and `reduced` (what
    is missing although the statement holds).

    Gives `verdict`, `words`, `needs`, `statements`, `pairs` (the same for each pair: `units`,
    `verdict`, `needs`, `text`) and `text`. Raises `CaseFault` for a catalogue that cannot be
    read (`$.catalogue...`) or units that cannot (`$.units[0].model`).
    """
    bench = _Bench(catalogue, units, statements_meta or {})
    everyone = tuple(range(len(bench.units)))
    pairs = [bench.pair(one, two) for one, two in combinations(everyone, 2)]
    whole = bench.whole(everyone)
    needs = list(whole.needs)
    for pair in pairs:
        if pair["decides"] and pair["verdict"] == NOT_KNOWN:
            needs += [n for n in pair["needs"] if n["need"] == "know" and n not in needs]
    open_ones = any(need["need"] == "know" for need in needs)
    worst = max(whole.verdict, NOT_KNOWN if open_ones else WORKS, key=VERDICTS.index)
    return {
        "verdict": worst,
        "words": WORDS[worst],
        "needs": needs,
        "statements": bench.statements(everyone, whole),
        "pairs": pairs,
        "text": _sentence(worst, needs),
    }


class _Bench:
    """The units asked about, the switches between them, and the catalogue."""

    def __init__(
        self,
        catalogue: JsonDict,
        units: Sequence[JsonDict],
        meta: Mapping[str, JsonDict],
    ) -> None:
        self.catalogue = catalogue
        self.meta = meta
        self.facts = read_case(bench_case(catalogue, []))
        self.units = read_units(self.facts, units)
        self.models = [self.facts.models[unit["model"]] for unit in self.units]
        self.switches = {n for n, model in enumerate(self.models) if model.kind == "switch"}

    def whole(self, chosen: tuple[int, ...], *, among_others: bool = False) -> Finding:
        """The verdict of these units by rules alone, over all releases that they may have.

        Units `among_others` may lean on those for whatever a rule asks to be there at least.
        """
        catalogue = _without_leasts(self.catalogue) if among_others else self.catalogue
        stands = islice(self._stands(chosen), _MOST_STANDS + 1)
        found = [(stand, self._settled(catalogue, chosen, stand)) for stand in stands]
        unknown = [n for n in chosen if self._open(n)]
        # A part hides an update in the verdict's word: what is to be done must be alike too.
        words = {(finding.verdict, _kinds(finding)) for _, finding in found}
        if len(words) == 1 and len(found) <= _MOST_STANDS:
            best = min((finding for _, finding in found), key=lambda f: len(f.needs))
            return self._unspoken(chosen, self._reduced(chosen, best))
        needs = [self._to_know(n, found, unknown.index(n)) for n in unknown]
        return Finding(NOT_KNOWN, needs)

    def _open(self, n: int) -> bool:
        return self.units[n]["release"] is None and bool(self.models[n].releases)

    def _stands(self, chosen: tuple[int, ...]) -> Iterator[tuple[str | None, ...]]:
        """Every way in which the releases that are not known may be."""
        yield from product(*(self.models[n].releases for n in chosen if self._open(n)))

    def _to_know(
        self, n: int, found: list[tuple[tuple[str | None, ...], Finding]], at: int
    ) -> JsonDict:
        worst: dict[str, Finding] = {}
        for stand, finding in found:
            known = worst.get(stand[at] or "", finding)
            worst[stand[at] or ""] = max(known, finding, key=_badness)
        by_release = {release: finding.verdict for release, finding in worst.items()}
        unit = self.units[n]
        alike: dict[str, list[str]] = {}
        for release, finding in worst.items():
            alike.setdefault(_said(finding), []).append(release)
        said = [f"at {listed(releases)}: {words}" for words, releases in alike.items()]
        return {
            "need": "know",
            "unit": unit["id"],
            "model": unit["model"],
            "by_release": by_release,
            "text": f"Read the release of the {unit['model']}: {'; '.join(said)}.",
        }

    def _settled(
        self, catalogue: JsonDict, chosen: tuple[int, ...], stand: tuple[str | None, ...]
    ) -> Finding:
        """The verdict of these units with every release known."""
        left = list(stand)
        devices = []
        for n in chosen:
            release = left.pop(0) if self._open(n) else self.units[n]["release"]
            devices.append(bench_device(self.units[n]["id"], self.units[n]["model"], release))
        facts = read_case(bench_case(catalogue, devices))
        facts = replace(facts, least_switch_links=1)
        return _planned(facts, [self.units[n]["id"] for n in chosen])

    def _unspoken(self, chosen: tuple[int, ...], finding: Finding) -> Finding:
        """A switch to be bought of which nobody says that it takes these units is not known."""
        bought = [need["part"] for need in finding.needs if need["need"] == "part"]
        needs = []
        for part in (name for name in bought if name in self.facts.models):
            for model in dict.fromkeys(self.models[n].id for n in chosen):
                pair = (self.facts.models[part], self.facts.models[model])
                if not any(speaks_of_both(s.rule, *pair) for s in self.facts.statements):
                    needs.append(_unsaid([part, model]))
        return Finding(NOT_KNOWN, [*finding.needs, *needs]) if needs else finding

    def _reduced(self, chosen: tuple[int, ...], finding: Finding) -> Finding:
        if finding.verdict in (NOT_KNOWN, DOES_NOT, ISOLATED):
            return finding
        missing = [
            {
                "need": "reduced",
                "statement": statement.id,
                "text": str(self._meta(statement)["reduced"]),
            }
            for statement in self._speaking(chosen)
            if self._meta(statement).get("reduced")
        ]
        if not missing:
            return finding
        return Finding(REDUCED, [*finding.needs, *missing])

    def pair(self, one: int, two: int) -> JsonDict:
        """The verdict of two units; `decides` where it counts for the whole."""
        finding = self.whole((one, two), among_others=len(self.units) > 2)
        spoken = any(
            speaks_of_both(statement.rule, self.models[one], self.models[two])
            and said_of(statement.rule, self.models)
            for statement in self.facts.statements
        )
        direct = not self.switches or (one in self.switches) != (two in self.switches)
        names = [self.units[n]["model"] for n in (one, two)]
        if not spoken and finding.verdict != DOES_NOT:
            finding = Finding(NOT_KNOWN, [_unsaid(names), *finding.needs])
        return {
            "units": [self.units[one]["id"], self.units[two]["id"]],
            "models": names,
            "verdict": finding.verdict,
            "words": WORDS[finding.verdict],
            "needs": finding.needs,
            "statements": self.statements((one, two), finding),
            "text": _sentence(finding.verdict, finding.needs),
            "decides": direct,
        }

    def _speaking(self, chosen: tuple[int, ...]) -> list[Statement]:
        models = [self.models[n] for n in chosen]
        return [s for s in self.facts.statements if said_of(s.rule, models)]

    def statements(self, chosen: tuple[int, ...], finding: Finding) -> list[JsonDict]:
        """The statements that speak of these units, each with the part that it plays."""
        stands = [(self.models[n], self.units[n]["release"]) for n in chosen]
        told = []
        for statement in self._speaking(chosen):
            row = {
                "id": statement.id,
                "text": statement.text,
                "source": statement.source,
                "seen": statement.seen,
                "role": role_of(statement.rule, stands, finding.verdict in (DOES_NOT, ISOLATED)),
            }
            confidence = self._meta(statement).get("confidence")
            told.append(row if confidence is None else row | {"confidence": confidence})
        return told

    def _meta(self, statement: Statement) -> Mapping[str, Any]:
        raw = next(s for s in self.catalogue["statements"] if s["id"] == statement.id)
        return {**raw, **self.meta.get(statement.id, {})}


def _planned(facts: Case, names: list[str]) -> Finding:
    """What must be done for these units to be on one network."""
    problem = Problem(facts)
    inquiry = Inquiry(problem, None)
    held: list[Pin] = [UnitPin(name, fate="stays") for name in names]
    joined: list[Pin] = [UnitPin(name, networked=True) for name in names]
    for most in (0, 1):
        found = inquiry.cheapest([*held, *joined, CountPin(most)])
        if found is not None:
            return _finding(plan_of(problem, found), facts)
    return _isolated(inquiry, held, names)


def _finding(plan: JsonDict, facts: Case) -> Finding:
    needs: list[JsonDict] = []
    for unit in dict.fromkeys(step["unit"] for step in plan["updates"]):
        steps = [step for step in plan["updates"] if step["unit"] == unit]
        row = next(one for one in plan["units"] if one["unit"] == unit)
        way = " to ".join([steps[0]["from"], *(step["to"] for step in steps)])
        needs.append(
            {
                "need": "update",
                "unit": unit,
                "model": row["model"],
                "steps": steps,
                "text": f"Update the {row['model']} from {way}.",
            }
        )
    for part, count in plan["parts"].items():
        if part != BENCH_CABLE and (part in facts.adapters or part in facts.models):
            text = f"Needs {count} × {part}."
            needs.append({"need": "part", "part": part, "count": count, "text": text})
    kinds = {need["need"] for need in needs}
    verdict = WITH_PART if "part" in kinds else AFTER_UPDATE if "update" in kinds else WORKS
    return Finding(verdict, needs)


def _isolated(inquiry: Inquiry, held: list[Pin], names: list[str]) -> Finding:
    """Whether the rest works with some unit off the network, and which."""
    devices = {device.id: device for device in inquiry.problem.case.units}
    if len(names) < 3:
        return Finding(DOES_NOT, [])
    needs = []
    for name in names:
        others: list[Pin] = [UnitPin(other, networked=other != name) for other in names]
        if name in devices and inquiry.cheapest([*held, *others, CountPin(0)]) is not None:
            model = devices[name].model
            text = f"Leave the {model} ({name}) off the network; the rest works."
            needs.append({"need": "isolate", "unit": name, "model": model, "text": text})
    return Finding(ISOLATED if needs else DOES_NOT, needs)


def _without_leasts(catalogue: JsonDict) -> JsonDict:
    kept = [one for one in catalogue["statements"] if "at_least" not in one["rule"]]
    return catalogue | {"statements": kept}


def _kinds(finding: Finding) -> frozenset[str]:
    return frozenset(need["need"] for need in finding.needs)


def _badness(finding: Finding) -> tuple[int, int]:
    return VERDICTS.index(finding.verdict), len(finding.needs)


def _said(finding: Finding) -> str:
    words = WORDS[finding.verdict].lower()
    return f"{words}, after update" if _kinds(finding) == {"part", "update"} else words


def _unsaid(names: list[str]) -> JsonDict:
    text = f"No statement speaks of {listed(names)} together."
    return {"need": "know", "unit": None, "text": text}


def _sentence(verdict: str, needs: list[JsonDict]) -> str:
    words = [need["text"] for need in needs]
    if verdict == ISOLATED and len(words) > 1:
        return f"{WORDS[verdict]}, one of these: " + " Or: ".join(words)
    return f"{WORDS[verdict]}." + "".join(f" {text}" for text in words)
