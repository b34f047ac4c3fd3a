"""What can become of each unit: its fates, models, releases, and what each costs without links."""

from collections.abc import Iterator
from dataclasses import dataclass

from planner.engine.facts import Case, Device, Model, Request, Update
from planner.engine.releases import ways_from

STAYS, REPLACED, REMOVED = "stays", "replaced", "removed"
ADDED, DISCONNECTED, ABSENT = "added", "disconnected", "absent"

_NOTHING = Model("", "other", 0, False, None, None, 0, 0, None, None, None, 0, (), (), None, ())


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """One thing that can become of one unit.

    `parts` and `minutes` leave cables and adapters out; `adapters` counts the ones on the unit
    already. `breaks` has one bit for each request (in the case's order) that is not met.
    """

    fate: str
    model: Model
    networked: bool
    release: str | None
    steps: tuple[Update, ...]
    parts: tuple[tuple[str, int], ...]
    parts_cents: int
    minutes: int
    penalty_cents: int
    changes: int
    adapters: int
    breaks: int

    @property
    def aboard(self) -> bool:
        """Whether it is aboard and powered at the end."""
        return self.fate not in (REMOVED, DISCONNECTED, ABSENT)

    @property
    def behind(self) -> int:
        """1 for a networked unit with firmware that is not at its last release."""
        return int(self.networked and bool(self.model.releases) and not self.at_last)

    @property
    def at_last(self) -> bool:
        """Whether it stands at the last release of its model."""
        return self.release == self.model.releases[-1]


@dataclass(frozen=True, slots=True)
class Slot:
    """A unit to decide on: an existing device, an `add` request, or a switch."""

    id: str
    location: str
    device: Device | None
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class _Fitting:
    parts: tuple[tuple[str, int], ...]
    cents: int
    minutes: int


def unit_slots(case: Case) -> tuple[Slot, ...]:
    """A slot for every existing unit that is not a switch, then one for every `add` request."""
    slots = [
        Slot(d.id, d.location, d, tuple(_device_choices(case, d, _about(case, d))))
        for d in case.units
    ]
    for n, request in enumerate(case.requests):
        if request.verb == "add":
            place = request.location or ""
            slots.append(Slot(request.id, place, None, tuple(_add_choices(case, request, n))))
    return tuple(slots)


def switch_slots(case: Case) -> tuple[Slot, ...]:
    """A slot for every existing switch."""
    return tuple(Slot(d.id, d.location, d, tuple(_switch_choices(case, d))) for d in case.switches)


def new_switch_choices(case: Case) -> tuple[Choice, ...]:
    """Every way to put in a new switch: a model that can be bought, at a release."""
    found: list[Choice] = []
    for name in case.switch_models:
        found.extend(_added(case, case.models[name], networked=True))
    return tuple(found)


def _about(case: Case, device: Device) -> tuple[tuple[int, Request], ...]:
    return tuple((n, r) for n, r in enumerate(case.requests) if r.device == device.id)


def _device_choices(
    case: Case, device: Device, about: tuple[tuple[int, Request], ...]
) -> Iterator[Choice]:
    yield from _staying(case, device, about)
    names = set(case.models[device.model].successors)
    for _, request in about:
        names |= set(request.models)
    names |= {model for name, model in case.allowed_swaps if name == device.id}
    for name in sorted(names - {device.model}):
        yield from _replacing(case, device, case.models[name], about, networked=(True, False))
    asked = any(request.verb == "remove" for _, request in about)
    old = case.models[device.model]
    yield Choice(
        fate=REMOVED,
        model=old,
        networked=False,
        release=device.release,
        steps=(),
        parts=(),
        parts_cents=0,
        minutes=old.remove_minutes,
        penalty_cents=0 if asked else case.lost_cents,
        changes=1,
        adapters=0,
        breaks=_breaks(about, REMOVED, old, networked=False),
    )


def _staying(
    case: Case, device: Device, about: tuple[tuple[int, Request], ...]
) -> Iterator[Choice]:
    model = case.models[device.model]
    for release, way in ways_from(model, device.release).items():
        for networked in (True, False):
            if networked or release == device.release:
                touched = networked != device.networked or bool(way.steps)
                yield Choice(
                    fate=STAYS,
                    model=model,
                    networked=networked,
                    release=release,
                    steps=way.steps,
                    parts=(),
                    parts_cents=0,
                    minutes=way.minutes,
                    penalty_cents=_offnet_cents(case, device, networked=networked),
                    changes=int(touched),
                    adapters=device.adapters,
                    breaks=_breaks(about, STAYS, model, networked=networked),
                )


def _replacing(
    case: Case,
    device: Device,
    model: Model,
    about: tuple[tuple[int, Request], ...],
    *,
    networked: tuple[bool, ...],
) -> Iterator[Choice]:
    fitting = _swap(case, case.models[device.model], model)
    if fitting is None:
        return
    for release, way in ways_from(model, model.ships_with).items():
        for joined in networked:
            if joined or release == model.ships_with:
                yield Choice(
                    fate=REPLACED,
                    model=model,
                    networked=joined,
                    release=release,
                    steps=way.steps,
                    parts=fitting.parts,
                    parts_cents=fitting.cents,
                    minutes=fitting.minutes + way.minutes,
                    penalty_cents=_offnet_cents(case, device, networked=joined),
                    changes=1,
                    adapters=0,
                    breaks=_breaks(about, REPLACED, model, networked=joined),
                )


def _switch_choices(case: Case, device: Device) -> Iterator[Choice]:
    model = case.models[device.model]
    yield Choice(
        fate=DISCONNECTED,
        model=model,
        networked=False,
        release=device.release,
        steps=(),
        parts=(),
        parts_cents=0,
        minutes=0,
        penalty_cents=0,
        changes=int(device.networked),
        adapters=device.adapters,
        breaks=0,
    )
    for choice in _staying(case, device, ()):
        if choice.networked:
            yield choice
    for name in case.switch_models:
        if name != device.model:
            yield from _replacing(case, device, case.models[name], (), networked=(True,))


def _add_choices(case: Case, request: Request, number: int) -> Iterator[Choice]:
    for name in request.models:
        yield from _added(case, case.models[name], networked=request.networked)
    yield Choice(ABSENT, _NOTHING, False, None, (), (), 0, 0, 0, 0, 0, 1 << number)


def _added(case: Case, model: Model, *, networked: bool) -> Iterator[Choice]:
    fitting = _fit(case, model)
    if fitting is None:
        return
    for release, way in ways_from(model, model.ships_with).items():
        if networked or release == model.ships_with:
            yield Choice(
                fate=ADDED,
                model=model,
                networked=networked,
                release=release,
                steps=way.steps,
                parts=fitting.parts,
                parts_cents=fitting.cents,
                minutes=fitting.minutes + way.minutes,
                penalty_cents=0,
                changes=1,
                adapters=0,
                breaks=0,
            )


def _offnet_cents(case: Case, device: Device, *, networked: bool) -> int:
    return case.offnet_cents if device.networked and not networked else 0


def _breaks(
    about: tuple[tuple[int, Request], ...], fate: str, model: Model, *, networked: bool
) -> int:
    mask = 0
    for number, request in about:
        if not _meets(request, fate, model, networked=networked):
            mask |= 1 << number
    return mask


def _meets(request: Request, fate: str, model: Model, *, networked: bool) -> bool:
    if request.verb == "network":
        return networked
    if request.verb == "keep":
        return fate == STAYS
    if request.verb == "remove":
        return fate == REMOVED
    return fate == REPLACED and model.id in request.models


def _fit(case: Case, model: Model) -> _Fitting | None:
    """Parts and minutes to fit one from nothing; None where it cannot be bought."""
    bought = _bought(case, model, lead=model.lead, fuse_ma=model.fuse_ma)
    if bought is None:
        return None
    return _Fitting(*bought, model.fit_minutes)


def _swap(case: Case, old: Model, new: Model) -> _Fitting | None:
    """Parts and minutes to put `new` in the place of `old`; None where it cannot be bought."""
    fuse_ma = new.fuse_ma if new.fuse_ma != old.fuse_ma else None
    bought = _bought(case, new, lead=None if old.lead == new.lead else new.lead, fuse_ma=fuse_ma)
    if bought is None:
        return None
    same_holes = old.mount is not None and old.mount == new.mount
    minutes = case.rates.drop_in_minutes if same_holes else old.remove_minutes + new.fit_minutes
    if fuse_ma is not None:
        minutes += case.rates.fuse_minutes
    return _Fitting(*bought, minutes)


def _bought(
    case: Case, model: Model, *, lead: str | None, fuse_ma: int | None
) -> tuple[tuple[tuple[str, int], ...], int] | None:
    if model.price_cents is None:
        return None
    parts, cents = [(model.id, 1)], model.price_cents
    if lead is not None:
        parts.append((lead, 1))
        cents += case.leads[lead]
    if fuse_ma is not None:
        sold = [fuse for fuse in case.fuses if fuse.ma == fuse_ma]
        if not sold:
            return None
        fuse = min(sold, key=lambda f: (f.price_cents, f.id))
        parts.append((fuse.id, 1))
        cents += fuse.price_cents
    return tuple(sorted(parts)), cents
