"""Does it work together? A verdict on models at releases, without a boat."""

import re
from dataclasses import dataclass
from typing import Any

from planner import engine
from planner.loaders.catalogue import catalogue_of
from planner.loaders.records import Records, read_models
from planner.models import Statement
from planner.reasons.asking import Asked
from planner.telling import in_names
from planner.verdicts import (
    AFTER_UPDATE,
    DOES_NOT,
    ISOLATED,
    NOT_KNOWN,
    REDUCED,
    TONES,
    WITH_PART,
    WORKS,
)
from shopapp.accounts.models import Shop

JsonDict = dict[str, Any]
WORDS = {
    "works": WORKS,
    "works_after_update": AFTER_UPDATE,
    "works_with_part": WITH_PART,
    "works_reduced": REDUCED,
    "only_if_isolated": ISOLATED,
    "not_known": NOT_KNOWN,
    "does_not_work": DOES_NOT,
}
ROLES = {
    "forbids": "Stands against it",
    "asks": "Asks for it",
    "limits": "Limits how many",
    "allows": "Allows it",
}
_UNIT = re.compile(r"\bunit_*-(\d+)\b")
_SWITCH = re.compile(r"\bunit_*-switch-\d+\b")


@dataclass(frozen=True)
class Told:
    """A verdict of the whole or of one pair, in the shop's words; statements with their part."""

    key: str
    codes: list[str]
    names: list[str]
    needs: list[str]
    statements: list[tuple[str, Statement]]

    @property
    def word(self) -> str:
        """The verdict's word."""
        return WORDS[self.key]

    @property
    def tone(self) -> str:
        """The badge's tone; what is not known is never green."""
        return TONES[self.word]


@dataclass(frozen=True)
class Judged:
    """The whole answer: the verdict on all, and on each pair."""

    whole: Told
    pairs: list[Told]


def judge_asked(*, shop: Shop, asked: Asked) -> Judged:
    """Judge what is asked by the statements in force today.

    The question must have passed `check_asked`.
    """
    releases = [(unit.model, unit.release) for unit in asked.all if unit.release]
    codes = [unit.model for unit in asked.all]
    records = read_models(shop=shop, codes=codes, releases=releases)
    units = [{"model": unit.model, "release": unit.release or None} for unit in asked.all]
    raw = engine.judge(catalogue_of(records), units)
    teller = _Teller(records)
    return Judged(teller.told(raw), [teller.told(pair) for pair in raw["pairs"]])


class _Teller:
    """The engine's verdicts with models and parts by their names."""

    def __init__(self, records: Records) -> None:
        self.statements = {statement.code: statement for statement in records.statements}
        models = {code: {"name": model.name} for code, model in records.models.items()}
        parts = {part.number: {"name": part.name} for part in records.parts}
        self.case = {"show": {"models": models, "parts": parts}}

    def told(self, raw: JsonDict) -> Told:
        """One verdict in words."""
        codes = raw.get("models", [])
        return Told(
            key=raw["verdict"],
            codes=codes,
            names=[self._words(code) for code in codes],
            needs=self._needs(raw["needs"]),
            statements=[
                (ROLES[row["role"]], self.statements[row["id"]]) for row in raw["statements"]
            ],
        )

    def _needs(self, raw: list[JsonDict]) -> list[str]:
        """Each need once; of a release not known, what it does to the whole, not to a pair."""
        first = {}
        for place, need in enumerate(raw):
            key = (need["need"], need.get("unit") or place)
            first.setdefault(key if need["need"] == "know" else place, need["text"])
        return list(dict.fromkeys(self._words(text) for text in first.values()))

    def _words(self, text: str) -> str:
        numbered = _UNIT.sub(lambda found: f"no. {found.group(1)}", text)
        return in_names(self.case, _SWITCH.sub("the switch", numbered))
