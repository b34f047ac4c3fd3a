"""Which boats a bulletin speaks of: affected, to be checked, or free of it, by the records.

The planner's own selectors decide, so that a campaign calls in exactly the boats whose plans the
same words would touch. Strong evidence makes a boat affected or cleared; soft, missing or too
early evidence makes it one to check (common practice, no source).
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date

from django.utils import timezone

from planner.ageing import turns_on_firmware
from planner.loaders.weakness import Weak, weak_facts
from planner.standing import BROKEN, HOLDS, Aboard, judge, matches
from planner.statements.queries import catalogue_of
from planner.statements.selectors import Catalogue, meets, selectors_of
from shopapp.boats.models import Boat, Cable, Evidence, Unit
from shopapp.fleet.impact import touched_boats
from shopapp.fleet.models import Bulletin, CampaignBoat
from shopapp.fleet.serials import within_serials
from shopapp.jobs.models import PickLine

CHUNK = 500
FIRMWARE = (Bulletin.Kind.WITHDRAWN, Bulletin.Kind.URGED)
State = CampaignBoat.Finding
Piece = list  # [short name, what was found, how many]


@dataclass
class Found:
    """What a bulletin means for one boat."""

    boat: int
    finding: str
    units: list[Piece] = field(default_factory=list)
    why: str = ""


def boats_touched(bulletin: Bulletin) -> list[int]:
    """Boats in service of which the bulletin could speak, in order."""
    shop = bulletin.shop
    if bulletin.kind == Bulletin.Kind.RULE:
        return touched_boats(shop, [bulletin.statement.rule], catalogue_of(shop))
    units = Unit.objects.of(shop).aboard()
    if bulletin.kind in FIRMWARE:
        sources = [units.filter(model=bulletin.release.model)]
    else:
        sources = _with_part(bulletin, units)
    current = Boat.objects.of(shop).current().order_by()
    numbers: set[int] = set()
    for rows in sources:
        numbers.update(rows.order_by().values_list(_boat_of(rows), flat=True).distinct())
    return sorted(current.filter(pk__in=numbers).values_list("pk", flat=True))


def _boat_of(rows: object) -> str:
    return "pick_list__job__boat" if rows.model is PickLine else "boat"


def _with_part(bulletin: Bulletin, units: object) -> list:
    part = bulletin.part
    shop = bulletin.shop
    return [
        units.filter(model__part=part),
        units.filter(model__adapter=part, adapters__gt=0),
        units.filter(model__lead=part),
        Cable.objects.filter(boat__shop=shop, part=part, retired_at__isnull=True),
        PickLine.objects.filter(pick_list__job__shop=shop, part=part, used__gt=0),
    ]


def found_among(bulletin: Bulletin, boats: Iterable[int], today: date | None = None) -> list[Found]:
    """What the bulletin means for each of some boats; a fixed number of queries for 500 of them."""
    reader = _Reader(bulletin, today or timezone.localdate())
    boats = list(boats)
    found: list[Found] = []
    for start in range(0, len(boats), CHUNK):
        found += reader.read(boats[start : start + CHUNK])
    return found


class _Reader:
    """Reads boats and judges them; the catalogue is read once."""

    def __init__(self, bulletin: Bulletin, today: date) -> None:
        self.bulletin, self.today = bulletin, today
        self.catalogue: Catalogue = catalogue_of(bulletin.shop)
        self.next_release = _next_release(bulletin)
        self.named = _named_models(bulletin, self.catalogue)

    def read(self, boats: list[int]) -> Iterator[Found]:
        """What it means for each of them."""
        names = "model__family", "model__part", "release", "boat"
        rows = Unit.objects.aboard().filter(boat__in=boats).select_related(*names)
        units: dict[int, list[Unit]] = defaultdict(list)
        for unit in rows.order_by("boat_id", "pk"):
            units[unit.boat_id].append(unit)
        self.evidence = _evidence(boats)
        loose = _loose_pieces(self.bulletin, boats)
        for boat in boats:
            yield self._of(boat, units[boat], loose.get(boat, []))

    def _of(self, boat: int, units: list[Unit], loose: list[Piece]) -> Found:
        kind = self.bulletin.kind
        if kind == Bulletin.Kind.RULE:
            return self._by_rule(boat, units)
        judged = self._by_firmware if kind in FIRMWARE else self._by_part
        pieces, doubts, sure = [], [], bool(loose)
        for unit in units:
            met, words, weak = judged(unit)
            if met is False and not weak:
                continue
            pieces.append([unit.name, words, 1])
            sure = sure or (met is True and not weak)
            if met is None or weak:
                doubts.append(f"{unit.name}: {weak or words}")
        pieces += loose
        finding = State.AFFECTED if sure else State.TO_CHECK if pieces else State.CLEARED
        why = "; ".join(doubts)[:300] if finding == State.TO_CHECK else ""
        return Found(boat, finding, pieces, why)

    def _by_firmware(self, unit: Unit) -> tuple[bool | None, str, str]:
        release = self.bulletin.release
        if unit.model_id != release.model_id:
            return False, "", ""
        met = self._at_fault(unit)
        words = f"{unit.model} at {unit.release or 'a release not known'}"
        if met is None:
            return met, words, ""
        return met, words, self._weak(unit, {"release"}) or self._too_early(unit, met)

    def _at_fault(self, unit: Unit) -> bool | None:
        code, release = unit.model.code, self.bulletin.release
        aboard = Aboard(code, unit.release and unit.release.name)
        at_least = self._from(code, release.name, aboard)
        if self.bulletin.kind == Bulletin.Kind.URGED:
            return None if at_least is None else not at_least
        if not at_least or self.next_release is None:
            return at_least
        return not self._from(code, self.next_release, aboard)

    def _from(self, code: str, release: str, aboard: Aboard) -> bool | None:
        return matches({"models": [code], "min_release": {code: release}}, aboard, self.catalogue)

    def _too_early(self, unit: Unit, met: bool) -> str:
        """A unit seen on another release before the bad one came out may carry it since."""
        out = self.bulletin.release.released_on
        if met or self.bulletin.kind != Bulletin.Kind.WITHDRAWN or out is None:
            return ""
        seen = [row.seen_at.date() for row in self.evidence[unit.pk] if row.fact == "release"]
        return f"last seen before {self.bulletin.release} came out" if max(seen) < out else ""

    def _by_part(self, unit: Unit) -> tuple[bool | None, str, str]:
        part, model = self.bulletin.part, unit.model
        if model.part_id == part.pk:
            return self._by_serial(unit)
        if model.adapter_id == part.pk and unit.adapters:
            return True, f"{part} on {model}", ""
        if model.lead_id == part.pk:
            return None, f"{model} comes with {part}: read its number", ""
        return False, "", ""

    def _by_serial(self, unit: Unit) -> tuple[bool | None, str, str]:
        low, high = self.bulletin.serial_from, self.bulletin.serial_to
        words = f"{unit.model}, serial {unit.serial or 'not known'}"
        if not low:
            return True, words, self._weak(unit, {"model"})
        met = within_serials(unit.serial, low, high)
        return met, words, "" if met is None else self._weak(unit, {"model"})

    def _by_rule(self, boat: int, units: list[Unit]) -> Found:
        rule = self.bulletin.statement.rule
        aboard = [Aboard(u.model.code, u.release and u.release.name, u.networked) for u in units]
        verdict = judge(rule, aboard, self.catalogue)
        if verdict == HOLDS:
            return Found(boat, State.CLEARED)
        named = [unit for unit in units if unit.model.code in self.named]
        facts = {"release", "networked"} if turns_on_firmware(rule) else {"model", "networked"}
        doubts = [f"{u.name}: {weak}" for u in named if (weak := self._weak(u, facts))]
        pieces = [[u.name, f"{u.model} at {u.release or 'a release not known'}", 1] for u in named]
        sure = verdict == BROKEN and not doubts
        why = "; ".join(doubts) or "a release, or whether it is on the network, is not known"
        finding = State.AFFECTED if sure else State.TO_CHECK
        return Found(boat, finding, pieces, "" if sure else why[:300])

    def _weak(self, unit: Unit, facts: set[str]) -> str:
        releases = bool(self.catalogue[unit.model.code].releases)
        rows = self.evidence[unit.pk]
        found: list[Weak] = weak_facts(rows=rows, has_release=releases, today=self.today)
        weak = next((one for one in found if one.fact in facts), None)
        return f"{weak.words}: {weak.why}" if weak else ""


def _named_models(bulletin: Bulletin, catalogue: Catalogue) -> set[str]:
    """Models that a rule counts, holds to one release, or holds beside."""
    if bulletin.statement is None:
        return set()
    parts = [
        selector
        for slot, selector in selectors_of(bulletin.statement.rule)
        if slot in {"of", "when", "same_release"}
    ]
    return {
        code
        for code, model in catalogue.items()
        if any(meets(selector, code, model) for selector in parts)
    }


def _next_release(bulletin: Bulletin) -> str | None:
    if bulletin.kind != Bulletin.Kind.WITHDRAWN:
        return None
    later = bulletin.release.model.releases.filter(rank__gt=bulletin.release.rank)
    return later.order_by("rank").values_list("name", flat=True).first()


def _evidence(boats: list[int]) -> dict[int, list[Evidence]]:
    facts = ("model", "release", "networked")
    rows = Evidence.objects.filter(boat__in=boats, unit__isnull=False, fact__in=facts)
    found: dict[int, list[Evidence]] = defaultdict(list)
    for row in rows.filter(standing=Evidence.Standing.HOLDS).order_by():
        found[row.unit_id].append(row)
    return found


def _loose_pieces(bulletin: Bulletin, boats: list[int]) -> dict[int, list[Piece]]:
    """Cables aboard, and what our own jobs used, of a recalled part that is no unit."""
    found: dict[int, list[Piece]] = defaultdict(list)
    if bulletin.kind != Bulletin.Kind.RECALLED:
        return found
    cables = Cable.objects.filter(boat__in=boats, part=bulletin.part, retired_at__isnull=True)
    for boat, label in cables.order_by("boat_id", "label").values_list("boat_id", "label"):
        found[boat].append([label, f"cable {bulletin.part}", 1])
    if bulletin.part.kind == "equipment":
        return found
    used = PickLine.objects.filter(
        pick_list__job__boat__in=boats, part=bulletin.part, used__gt=0
    ).order_by("pk")
    names = ("pick_list__job__boat", "pick_list__job__number", "used")
    for boat, number, count in used.values_list(*names):
        if boat not in found:
            found[boat].append([number, f"{bulletin.part} used under {number}", count])
    return found
