"""The order of work of a plan: cautions first, then each act after all that it needs."""

from collections.abc import Iterator, Mapping
from typing import Any

from planner.engine.cautions import cautions_for
from planner.engine.facts import Device
from planner.engine.faults import CaseFault
from planner.engine.finishing import finishing_steps
from planner.engine.ports import BUY, KnownPorts, ports_of
from planner.engine.reading import read_case
from planner.engine.step_rows import Step, Work, quoted, step
from planner.engine.words import Row, amps, unit_name


def order_of_work(
    case: dict[str, Any],
    plan: dict[str, Any],
    context: Mapping[str, Any] | None = None,
    known_ports: KnownPorts | None = None,
) -> list[dict[str, Any]]:
    """Write the steps of a plan in the order in which they are done.

    Each step: `kind`, `title`, `detail`, `unit`, `minutes`, `caution`, `expect`, `step_key`.
    The minutes add up to the plan's labour. `context` may hold `dc_volts`, `fuel` and
    `chemistry`; what is missing there is taken to be present. Raises `CaseFault` where the case
    cannot be read.
    """
    facts = read_case(case)
    devices = {device.id: device for device in facts.devices}
    for row in plan["units"]:
        if row["model"] not in facts.models:
            raise CaseFault("$.catalogue.models", f"the plan speaks of {row['model']!r}")
    links = ports_of(facts, plan, known_ports or {})
    work = Work(facts, plan, devices, links, dict(context or {}), known_ports or {})
    rows = [
        *cautions_for(work),
        *_backups(work),
        *_updates(work),
        *_without_power(work),
        *finishing_steps(work),
    ]
    return [row.shown() for row in rows]


def _backups(work: Work) -> Iterator[Step]:
    moved = {update["unit"] for update in work.plan["updates"]}
    for row in work.rows:
        device = work.devices.get(row["unit"])
        if device is None or work.model_before(device).kind == "switch":
            continue
        touched = row["fate"] in ("replaced", "removed") or row["unit"] in moved
        if touched and work.model_before(device).releases:
            yield step(
                "backup",
                row["unit"],
                f"Back up {device.model} ({device.id}, {device.location})",
                "Save waypoints, routes, tracks, settings and screen layouts to a card and "
                "read the card in a second unit. Photograph the system page.",
            )


def _updates(work: Work) -> Iterator[Step]:
    minutes = work.update_minutes()
    for n, update in enumerate(work.plan["updates"]):
        row = work.row(update["unit"])
        bench = row["fate"] in ("added", "replaced")
        place = "on the bench" if bench else "at the boat"
        way = f"from {quoted(update['from'])} to {quoted(update['to'])}"
        detail = (
            "Before it goes aboard, on a steady bench supply. "
            if bench
            else "Charger on, no cranking, no heavy loads, cut-off taped. "
        )
        yield step(
            "update",
            update["unit"],
            f"Update {unit_name(row)} {place} {way}",
            detail
            + "Never interrupt it; if it fails leave the power on and wait the guide's time.",
            minutes=minutes[n],
            key=str(n + 1),
            expect={
                "label": "Release on the system page",
                "unit": None,
                "low": None,
                "high": None,
                "text": str(update["to"]),
            },
        )


def _without_power(work: Work) -> Iterator[Step]:
    """All that is done by hand, after the power is off; nothing where nothing is."""
    rows = [*_removals(work), *_fittings(work), *_cables(work), *_fuses(work)]
    if rows:
        yield step(
            "power",
            None,
            "Batteries, chargers and shore power off",
            "Check with a meter that the feed is dead before any unit or wire is touched.",
            key="off",
        )
    yield from rows


def _removals(work: Work) -> Iterator[Step]:
    for row in work.rows:
        device = work.devices.get(row["unit"])
        if device is not None:
            yield from _removal(work, row, device)


def _removal(work: Work, row: Row, device: Device) -> Iterator[Step]:
    name = f"{device.model} ({device.id}, {device.location})"
    if row["fate"] in ("removed", "replaced"):
        yield step(
            "remove",
            device.id,
            f"Take out {name}",
            "Photograph and label every plug first. Cap what stays behind.",
            minutes=work.removal_minutes(row, device),
        )
    elif row["fate"] == "disconnected" and device.networked:
        yield step(
            "remove",
            device.id,
            f"Disconnect {name} and leave it in place",
            "Unplug its power and all its network cables; label it as out of use.",
        )
    elif row["fate"] == "stays" and device.networked and not row["networked"]:
        yield step(
            "remove",
            device.id,
            f"Take {name} off the network",
            "Unplug its network cable and cap the port; its power stays on.",
        )


def _fittings(work: Work) -> Iterator[Step]:
    for row in work.rows:
        if row["fate"] not in ("added", "replaced"):
            continue
        device = work.devices.get(row["unit"])
        swap = device is not None and work.drops_in(row, device)
        how = (
            "It takes the same holes. "
            if swap
            else "Check what lies behind before any hole: tank, hose, wire, core. "
        )
        yield step(
            "fit",
            row["unit"],
            f"Fit {unit_name(row)}",
            how + _parts_text(work, row, device),
            minutes=work.fitting_minutes(row, device),
        )


def _parts_text(work: Work, row: Row, device: Device | None) -> str:
    model = work.case.models[row["model"]]
    old = None if device is None else work.model_before(device).lead
    if model.lead is None:
        return "It needs no power lead of its own."
    if device is not None and old == model.lead:
        return f"The power lead aboard ({model.lead}) fits it."
    return f"Run its power lead ({model.lead}); leave it unfused until the last check."


def _cables(work: Work) -> Iterator[Step]:
    minutes = work.pull_minutes()
    for n, link in enumerate(work.links):
        if work.stays_put(link):
            continue
        ends = [f"{e}:{p}" for e, p in zip(link["between"], link["ports"], strict=True)]
        bought = link["cable"].startswith(BUY)
        kind = link["cable"].removeprefix(BUY)
        length = "" if link["feet"] is None else f", {link['feet']} ft"
        verb = "Pull new cable" if bought else "Plug in the cable aboard"
        yield step(
            "cable",
            None,
            f"{verb} {kind}{length}: {ends[0]} to {ends[1]}",
            _cable_detail(work, link["between"]),
            minutes=minutes[n],
            key="--".join((*ends, link["cable"])),
        )


def _cable_detail(work: Work, ends: list[str]) -> str:
    text = "Leave a slack loop and a drip loop, clear of the compass and of motor cables."
    for end in ends:
        adapter = work.case.models[work.row(end)["model"]].adapter
        if adapter is not None:
            text += f" Between the cable and {end} goes its adapter: {adapter}."
    return text


def _fuses(work: Work) -> Iterator[Step]:
    for row in work.rows:
        fuse_ma = work.case.models[row["model"]].fuse_ma
        if row["fate"] not in ("added", "replaced") or fuse_ma is None:
            continue
        device = work.devices.get(row["unit"])
        if device is not None and work.model_before(device).fuse_ma == fuse_ma:
            continue
        yield step(
            "fuse",
            row["unit"],
            f"Put a {amps(fuse_ma)} fuse in the feed of {unit_name(row)}",
            "Read the number printed on the fuse, not its colour. The fuse protects the wire: "
            "never a larger one to stop it blowing.",
            minutes=work.fuse_minutes(row, device),
            expect={
                "label": "Number printed on the fuse",
                "unit": "A",
                "low": fuse_ma / 1000,
                "high": fuse_ma / 1000,
                "text": amps(fuse_ma),
            },
        )
