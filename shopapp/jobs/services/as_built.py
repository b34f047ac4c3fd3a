"""Write what a job did to the boat's record, each value with its evidence.

Only steps that were done are written; what could not be done stays as it was.
"""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import Q
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.boats.models import Cable, CableEnd, Evidence, How, Location, Unit
from shopapp.boats.services.cables import next_label
from shopapp.boats.services.ends import end_text
from shopapp.boats.services.evidence import Seen, Stated, record_facts
from shopapp.catalog.models import EquipmentModel, Part
from shopapp.errors import MoveRefused
from shopapp.jobs.models import Job, WorkStep
from shopapp.jobs.services.naming import STEMS
from shopapp.jobs.services.opening import short_key

Row = dict[str, Any]
BUY = "buy:"
FEED = ("bank", "fuse_ma", "fuse_place", "cutoff", "wire")
FITTED = frozenset({"added", "replaced"})


def link_key(link: Row) -> str:
    """The key of the step that plugs a link in."""
    ends = [f"{unit}:{port}" for unit, port in zip(link["between"], link["ports"], strict=True)]
    return short_key(f"cable:{'--'.join([*ends, link['cable']])}")


class AsBuilt:
    """One writing of a job's outcome; `write()` inside the caller's transaction."""

    def __init__(self, job: Job, steps: Iterable[WorkStep], by: User) -> None:
        self.job, self.boat, self.by = job, job.boat, by
        self.steps = list(steps)
        self.done = [step for step in self.steps if step.state == WorkStep.State.DONE]
        self.rows: dict[str, Row] = {row["unit"]: row for row in job.plan.get("units", [])}
        self.before: dict[str, Row] = {
            row["id"]: row for row in job.case.get("boat", {}).get("devices", [])
        }
        self.models = self._models()
        self.places = {place.name: place for place in self.boat.locations.all()}
        self.units: dict[str, Unit] = {
            unit.name: unit for unit in self.boat.units.filter(state__in=["fitted", "unknown"])
        }
        self.links = self._links()

    def write(self) -> None:
        """Units out, units in, releases, then cables and what hangs on them."""
        gone = self._take_out()
        self._fit(gone)
        self._releases()
        self._fuses()
        self._cables()
        self._networked()
        self._adapters()
        self._problems()

    def _problems(self) -> None:
        """Problems noted on a new unit before it was on record now name it, where it is clear."""
        fresh = [unit for unit in self.units.values() if unit.fitted_under == self.job.number]
        for row in self.job.problems.filter(unit=None, model__isnull=False):
            alike = [unit for unit in fresh if unit.model_id == row.model_id]
            if len(alike) == 1:
                row.unit, row.release = alike[0], row.release or alike[0].release
                row.save()

    def _models(self) -> dict[str, EquipmentModel]:
        codes = {row["model"] for row in self.rows.values()}
        found = EquipmentModel.objects.filter(shop=self.job.shop_id, code__in=codes)
        return {model.code: model for model in found}

    def _links(self) -> list[tuple[Row, WorkStep]]:
        """Each link whose step is done, with that step.

        `standing` gathers the links that no step speaks of: their cables stay in their ports.
        """
        pulls = {step.key: step for step in self.steps if step.kind == "cable"}
        self.standing: list[Row] = []
        found = []
        for link in self.job.ports:
            step = pulls.pop(link_key(link), None)
            if step is None:
                self.standing.append(link)
            elif step in self.done:
                found.append((link, step))
        if pulls:
            raise MoveRefused(
                f"The steps of {self.job} and its port map do not agree.",
                todo="Tell the desk: the job must be planned again.",
            )
        return found

    def _of(self, kind: str, unit: str = "", key: str = "") -> list[WorkStep]:
        """The steps done of a kind, for one unit, with this end of their key."""
        return [
            step
            for step in self.done
            if step.kind == kind
            and (not unit or step.unit_key == unit)
            and (not key or step.key.endswith(f":{key}"))
        ]

    def _note(self, facts: list[Stated], at: datetime | None, *, how: str = How.SEEN) -> None:
        """Note facts that this job made so: what was known of them before is past."""
        at = at or timezone.now()
        old = Q()
        for stated in facts:
            slot = "cable" if isinstance(stated.subject, Cable) else "unit"
            old |= Q(**{slot: stated.subject.pk}, fact=stated.fact)
        standing = [Evidence.Standing.HOLDS, Evidence.Standing.DISPUTED]
        earlier = Evidence.objects.filter(old, boat=self.boat, standing__in=standing)
        earlier.filter(seen_at__lte=at).update(standing=Evidence.Standing.OLD)
        seen = Seen(how, self.by, at, job_number=self.job.number)
        record_facts(boat=self.boat, facts=facts, seen=seen)

    def _take_out(self) -> dict[str, Unit]:
        """Units whose removal is done leave the boat; those of the name that left, by name."""
        gone: dict[str, Unit] = {}
        for name, row in self.rows.items():
            out = self._of("remove", name)
            unit = self.units.get(name)
            if unit is None or not out or unit.fitted_under == self.job.number:
                continue
            if row["fate"] in {"removed", "replaced"}:
                self._note([Stated(unit, "state", Unit.State.REMOVED)], out[-1].done_at)
                CableEnd.objects.filter(unit=unit).update(unit=None, port=None)
                gone[name] = self.units.pop(name)
            else:
                self._note([Stated(unit, "networked", False)], out[-1].done_at)
        return gone

    def _fit(self, gone: dict[str, Unit]) -> None:
        for name, row in self.rows.items():
            fits = self._of("fit", name)
            if row["fate"] not in FITTED or not fits:
                continue
            fresh = self._fitted_before(name, row) or self._make(name, row, fits[-1])
            if name in gone:
                self._carry_feed(gone[name], fresh)
            self.units[name] = fresh
            facts = [Stated(fresh, "model", fresh.model), Stated(fresh, "location", fresh.location)]
            if fits[-1].found:
                facts.append(Stated(fresh, "serial", fits[-1].found))
            self._note(facts, fits[-1].done_at)
        for name, old in gone.items():
            self._move_drops(old, self.units.get(name))

    def _move_drops(self, old: Unit, fresh: Unit | None) -> None:
        """A backbone drop goes to what replaced the unit, else it says whose it was."""
        for drop in old.drops.all():
            drop.unit, drop.node = fresh, drop.node if fresh else drop.node or f"was {old.name}"
            drop.save()

    def _fitted_before(self, name: str, row: Row) -> Unit | None:
        """The unit that an earlier closing of this job wrote, where there was one."""
        mine = self.boat.units.aboard().filter(
            fitted_under=self.job.number,
            model__code=row["model"],
            location__name=row["location"],
        )
        taken = {unit.pk for key, unit in self.units.items() if key != name and key in self.rows}
        exact = mine.filter(name=name).first()
        return exact or mine.exclude(pk__in=taken).exclude(name__in=self.rows).first()

    def _make(self, name: str, row: Row, step: WorkStep) -> Unit:
        model = self.models[row["model"]]
        return Unit.objects.create(
            boat=self.boat,
            name=self._free_name(name, model),
            model=model,
            serial=step.found,
            location=self._place(row["location"]),
            state=Unit.State.FITTED,
            fitted_on=timezone.localdate(step.done_at),
            fitted_under=self.job.number,
        )

    def _free_name(self, name: str, model: EquipmentModel) -> str:
        aboard = self.boat.units.filter(state__in=["fitted", "bench", "unknown"])
        taken = set(aboard.values_list("name", flat=True))
        if name not in taken:
            return name
        stem = STEMS[model.kind]
        numbers = range(1, len(taken) + len(self.rows) + 2)
        names = (f"{stem}{number}" for number in numbers)
        return next(one for one in names if one not in taken and one not in self.rows)

    def _place(self, name: str) -> Location:
        if name not in self.places:
            raise MoveRefused(
                f"{self.boat} has no location “{name}” any more.",
                todo="Add it on the boat's page, then close the job again.",
            )
        return self.places[name]

    def _carry_feed(self, old: Unit, fresh: Unit) -> None:
        """The new unit hangs on the old one's feed; how that is known goes with it."""
        for fact in FEED:
            setattr(fresh, fact, getattr(old, fact))
        fresh.save()
        known = Evidence.objects.filter(unit=old, fact__in=FEED, standing="holds")
        for row in known:
            row.pk, row.unit = None, fresh
            row.save(force_insert=True)

    def _releases(self) -> None:
        for name, row in self.rows.items():
            unit = self.units.get(name)
            if unit is None or (row["fate"] in FITTED and not self._of("fit", name)):
                continue
            loaded = [step for step in self._of("update", name) if step.found]
            if loaded:
                last = loaded[-1]
                self._note([Stated(unit, "release", last.found)], last.done_at, how=How.BUS)
            elif row["fate"] in FITTED and row["release"] and not self._has_updates(name):
                self._planned_release(unit, row)

    def _has_updates(self, name: str) -> bool:
        return any(step.kind == "update" and step.unit_key == name for step in self.steps)

    def _planned_release(self, unit: Unit, row: Row) -> None:
        """A new unit as it ships: seen where its start was checked, else by the plan."""
        checked = self._of("check", row["unit"], "feed")
        how = How.SEEN if checked else How.JOB
        at = (checked or self._of("fit", row["unit"]))[-1].done_at
        self._note([Stated(unit, "release", row["release"])], at, how=how)

    def _fuses(self) -> None:
        for name, unit in self.units.items():
            for step in self._of("fuse", name) if name in self.rows else []:
                rating = step.reading if step.reading is not None else step.expect_low
                if rating is not None:
                    self._note([Stated(unit, "fuse_ma", int(rating * 1000))], step.done_at)

    def _cables(self) -> None:
        self._unplug_spares()
        work = [(link, step) for link, step in self.links if self._ends(link)]
        self._free_ports(link for link, _ in work)
        for link, step in work:
            if link["cable"].startswith(BUY):
                cable = self._new_cable(link, step)
            else:
                cable = self._aboard().filter(label=link["cable"]).first()
            if cable is not None:
                self._note(self._plugged(cable, link), step.done_at)

    def _aboard(self) -> Any:
        return Cable.objects.filter(boat=self.boat, retired_at__isnull=True)

    def _unplug_spares(self) -> None:
        for step in self._of("label"):
            _, _, rest = step.key.partition("spare:")
            cable = self._aboard().filter(label=rest).first() if rest else None
            if cable is not None:
                ends = cable.ends.select_related("location")
                facts = [Stated(cable, f"end_{end.side}", f"@{end.location.name}") for end in ends]
                self._note(facts, step.done_at)

    def _ends(self, link: Row) -> list[tuple[Unit, int]]:
        """Both ends as unit and port, or nothing where one of the units is not aboard."""
        pairs = zip(link["between"], link["ports"], strict=True)
        found = [(self.units[name], port) for name, port in pairs if name in self.units]
        return found if len(found) == 2 else []

    def _free_ports(self, links: Iterable[Row]) -> None:
        """Ports that these links need are let go by whatever the record has in them."""
        wanted = Q()
        for link in links:
            for unit, port in self._ends(link):
                wanted |= Q(unit=unit, port=port)
            if not link["cable"].startswith(BUY):
                wanted |= Q(cable__label=link["cable"])
        if wanted:
            ends = CableEnd.objects.filter(cable__boat=self.boat, cable__retired_at__isnull=True)
            ends.filter(wanted).update(unit=None, port=None)

    def _new_cable(self, link: Row, step: WorkStep) -> Cable:
        part = Part.objects.get(shop=self.job.shop_id, number=link["cable"].removeprefix(BUY))
        mark = f"{self.job.number} {step.key}"[:200]
        known = self._aboard().filter(note=mark).first()
        if known is not None:
            return known
        taken = set(self._aboard().values_list("label", flat=True))
        cable = Cable.objects.create(
            boat=self.boat, label=next_label(taken=taken), part=part, note=mark
        )
        for side, (unit, _) in zip("ab", self._ends(link), strict=True):
            CableEnd.objects.create(cable=cable, side=side, location=unit.location)
        self._note([Stated(cable, "part", part)], step.done_at)
        return cable

    def _plugged(self, cable: Cable, link: Row) -> list[Stated]:
        """Both ends as facts; the end that lies at a unit's place goes into that unit."""
        first, second = self._ends(link)
        sides = {end.side: end.location_id for end in cable.ends.all()}
        here = (first[0].location_id, second[0].location_id)
        if (sides.get("a"), sides.get("b")) != here and (sides.get("b"), sides.get("a")) == here:
            first, second = second, first
        return [
            Stated(cable, f"end_{side}", end_text(location=unit.location, unit=unit, port=port))
            for side, (unit, port) in zip("ab", (first, second), strict=True)
        ]

    def _plugged_by_unit(self) -> dict[str, list[WorkStep]]:
        found: dict[str, list[WorkStep]] = defaultdict(list)
        for link, step in self.links:
            for name in link["between"] if self._ends(link) else []:
                found[name].append(step)
        return found

    def _switched_on(self, name: str) -> list[WorkStep]:
        """For a unit put on the network by a cable that was in its port already: the last check."""
        was = self.before.get(name, {}).get("networked")
        stands = any(name in link["between"] for link in self.standing)
        return self.done[-1:] if stands and was is False else []

    def _networked(self) -> None:
        """On the network: whatever a cable of this job joins; off it, what was fitted without."""
        joined = self._plugged_by_unit()
        linked = {name for link in self.job.ports for name in link["between"]}
        for name, row in self.rows.items():
            unit = self.units.get(name)
            if unit is None:
                continue
            fits = self._of("fit", name) if row["fate"] in FITTED else []
            plugged = joined.get(name) or self._switched_on(name)
            if row["networked"] and plugged:
                self._note([Stated(unit, "networked", True)], plugged[-1].done_at)
            elif fits:
                alone = row["networked"] and name not in linked
                self._note([Stated(unit, "networked", alone)], fits[-1].done_at)

    def _adapters(self) -> None:
        for name, pulls in self._plugged_by_unit().items():
            unit, model = self.units[name], self.models.get(self.rows[name]["model"])
            if model is None or model.adapter_id is None:
                continue
            stands = sum(1 for link in self.standing if name in link["between"])
            count = max(unit.adapters, len(pulls) + stands)
            self._note([Stated(unit, "adapters", count)], pulls[-1].done_at)
