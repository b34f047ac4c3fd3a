"""A sum's answer as the page and the API show it, with the shop's own rules beside it."""

from dataclasses import dataclass
from typing import Any

from planner.benchsums import figures
from planner.benchsums.figures import Line
from planner.benchsums.words import GROUPS, PAGES
from planner.engine.sums import SUMS, SumResult, run_sum
from planner.engine.sums.judged import LocalAnswer, both_areas, judge_by_rules
from planner.engine.sums.local_rules import LocalRules

_AREAS = {"sae": "SAE minimum areas", "awg": "exact AWG areas"}


@dataclass(frozen=True, slots=True)
class Answer:
    """All that is shown of one answer."""

    name: str
    result: SumResult
    rules: list[LocalAnswer]
    areas: list[Line]

    @property
    def lines(self) -> list[Line]:
        """The outputs, the main one first."""
        return figures.lines_of(self.name, self.result)

    @property
    def why(self) -> str:
        """The sentence behind a verdict."""
        return str(self.result.values.get("why", ""))

    @property
    def faults(self) -> list[str]:
        """What is wrong, in sentences."""
        return figures.faults_of(self.result)

    @property
    def margins(self) -> list[Line]:
        """What is left to the limits."""
        return figures.margins_of(self.result)

    @property
    def volts(self) -> list[Line]:
        """Volts at every node of a backbone."""
        return figures.volts_of(self.result)

    @property
    def inputs(self) -> list[Line]:
        """The inputs as used."""
        return figures.inputs_of(self.name, self.result)

    @property
    def run(self) -> str:
        """The run one way and there and back."""
        return figures.run_words(self.result)

    def as_dict(self) -> dict[str, Any]:
        """For JSON: the sum's own object, the rules, and both wires where the lists differ."""
        told = self.result.as_dict() | {"local_rules": [each.as_dict() for each in self.rules]}
        if self.areas:
            told["by_areas"] = both_areas(self.result)
        return told


def answer_sum(*, name: str, given: dict[str, Any], rules: LocalRules) -> Answer:
    """Run a sum and hold its answer against the rules; SumFault where it cannot be run.

    Where the list of areas is left open the shop's own is taken.
    """
    if name == "conductor" and "areas" not in given:
        given = {**given, "areas": rules.areas}
    result = run_sum(name, given)
    areas = _differing_areas(result) if name == "conductor" else []
    return Answer(name, result, judge_by_rules(name, result, rules), areas)


def _differing_areas(result: SumResult) -> list[Line]:
    """Both wires, where the two lists of areas give different ones."""
    found = both_areas(result)
    if found["sae"] == found["awg"]:
        return []
    return [
        Line(f"By the {_AREAS[areas]}", f"{awg} AWG" if awg else "more than 4/0")
        for areas, awg in found.items()
    ]


def all_groups() -> list[dict[str, Any]]:
    """Every sum under its heading."""
    return [
        {"title": title, "sums": [{"name": name, "page": page} for name, page in pages.items()]}
        for title, pages in GROUPS
    ]


def told_sums() -> list[dict[str, Any]]:
    """Every sum with its inputs, outputs and source, for the API."""
    return [
        {
            "name": name,
            "title": PAGES[name].title,
            "inputs": [
                {
                    "name": each.name,
                    "unit": each.unit,
                    "kind": each.kind,
                    "choices": list(each.choices),
                    **({"default": each.default} if each.optional else {}),
                }
                for each in SUMS[name].inputs
            ],
            "outputs": [{"name": each.name, "unit": each.unit} for each in SUMS[name].outputs],
            "source": SUMS[name].source,
        }
        for name in PAGES
    ]
