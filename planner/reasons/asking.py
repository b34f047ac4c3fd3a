"""What a verdict is asked about: models at releases, behind a switch or not, as an address.

An address reads `?unit=code@release&unit=code&behind=code`; a model with firmware and no release
after the sign is one whose release is not known.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from shopapp.accounts.models import Shop
from shopapp.catalog.models import EquipmentModel, Kind, Release
from shopapp.errors import FactRefused

SIGN = "@"
# Each pair is judged at every release that it may stand at: more would outlast a page.
MOST_UNITS = 12


@dataclass(frozen=True)
class AskedUnit:
    """One unit of the question; `release` is "" where it has none or it is not known."""

    model: str
    release: str = ""

    @property
    def text(self) -> str:
        """As it stands in an address."""
        return f"{self.model}{SIGN}{self.release}" if self.release else self.model


@dataclass(frozen=True)
class Asked:
    """The whole question: the units, and the switches that they are behind."""

    units: tuple[AskedUnit, ...]
    behind: tuple[AskedUnit, ...] = ()

    @property
    def all(self) -> tuple[AskedUnit, ...]:
        """Every unit on the network, switches last."""
        return self.units + self.behind

    @property
    def enough(self) -> bool:
        """Whether there are two at least that could work together."""
        return len(self.all) > 1

    @property
    def query(self) -> str:
        """The question as the end of an address."""
        pairs = [("unit", unit.text) for unit in self.units]
        return urlencode(pairs + [("behind", unit.text) for unit in self.behind], safe=SIGN)


def read_asked(units: Iterable[str], behind: Iterable[str]) -> Asked:
    """The question as an address has it; unknown names are found by `check_asked`."""
    return Asked(tuple(map(_read, units)), tuple(map(_read, behind)))


def _read(text: str) -> AskedUnit:
    code, _, release = text.strip().partition(SIGN)
    return AskedUnit(code.strip()[:200], release.strip()[:200])


def check_asked(*, shop: Shop, asked: Asked) -> dict[str, EquipmentModel]:
    """The models asked about, by code; `FactRefused` for what the catalogue does not have."""
    if len(asked.all) > MOST_UNITS:
        raise FactRefused(f"At most {MOST_UNITS} units are judged at once.", field="unit")
    codes = {unit.model for unit in asked.all}
    rows = EquipmentModel.objects.of(shop).filter(code__in=codes).select_related("family__maker")
    models = {row.code: row for row in rows}
    releases = _releases(models)
    for unit in asked.all:
        _check_unit(unit, models, releases)
    for unit in asked.behind:
        if models[unit.model].kind != Kind.SWITCH:
            raise FactRefused(f"{models[unit.model].name} is not a switch.", field="behind")
    return models


def _releases(models: Mapping[str, EquipmentModel]) -> dict[str, list[str]]:
    rows = Release.objects.filter(model__in=[model.pk for model in models.values()])
    found: dict[str, list[str]] = {code: [] for code in models}
    for code, name in rows.order_by("rank").values_list("model__code", "name"):
        found[code].append(name)
    return found


def _check_unit(
    unit: AskedUnit, models: Mapping[str, EquipmentModel], releases: Mapping[str, list[str]]
) -> None:
    if unit.model not in models:
        raise FactRefused(
            f"The catalogue has no model {unit.model or 'without a code'}.",
            field="unit",
            todo="Pick one from the list.",
        )
    known = releases[unit.model]
    if unit.release and unit.release not in known:
        had = f"It has {', '.join(known)}." if known else "It has no firmware."
        raise FactRefused(
            f"{models[unit.model].name} never had {unit.release}. {had}",
            field="release",
            todo="Leave the release empty where it is not known.",
        )
