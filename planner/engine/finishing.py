"""The last steps of a plan: power up, readings, lights, checks, labels and caps."""

from collections.abc import Iterator
from typing import Any

from planner.engine.step_rows import Step, Work, quoted, step
from planner.engine.words import Row, listed, unit_name

_LEAST_SHARE = 0.97


def finishing_steps(work: Work) -> Iterator[Step]:
    """Everything after the last fuse."""
    powered = [row for row in work.rows if row["fate"] not in ("removed", "disconnected")]
    if powered:
        yield step(
            "power",
            None,
            "Power up, switches first",
            "Batteries on, then the electronics feed; wait until every unit has started.",
        )
    yield from _readings(work)
    yield from _lights(work)
    yield from _checks(work, powered)
    yield from _labels(work)


def _readings(work: Work) -> Iterator[Step]:
    for row in work.rows:
        model = work.case.models[row["model"]]
        if row["fate"] in ("added", "replaced") and model.draw_ma:
            yield step(
                "reading",
                row["unit"],
                f"Measure the volts at the plug of {unit_name(row)}",
                "Under load, all units on. Write down the battery's volts as well.",
                expect=_plug_volts(work),
            )


def _plug_volts(work: Work) -> dict[str, Any]:
    """Within 3 % of the battery; the range spans a rested bank to one on charge."""
    volts = work.context.get("dc_volts")
    text = "within 3 % of the volts at the battery"
    low = high = None
    if volts:
        low = round(12.2 * _LEAST_SHARE * volts / 12, 1)
        high = round(14.6 * volts / 12, 1)
    else:
        text += "; the bank's volts are not known, measure them first"
    return {
        "label": "Volts at the plug under load",
        "unit": "V",
        "low": low,
        "high": high,
        "text": text,
    }


def _lights(work: Work) -> Iterator[Step]:
    switches = {row["unit"] for row in work.rows if work.case.models[row["model"]].kind == "switch"}
    for link in work.links:
        for n, (end, port) in enumerate(zip(link["between"], link["ports"], strict=True)):
            if end in switches:
                other = link["between"][1 - n]
                yield step(
                    "light",
                    end,
                    f"Look at port {port} of {end}",
                    f"It goes to {other}. A light says that cable and ends agree, not that the "
                    "units accept each other; a switch without lights says nothing.",
                    key=str(port),
                    expect={
                        "label": f"Light at port {port}",
                        "unit": None,
                        "low": None,
                        "high": None,
                        "text": "lit or flashing within a minute of the unit's start",
                    },
                )


def _checks(work: Work, powered: list[Row]) -> Iterator[Step]:
    joined = [row for row in powered if row["networked"]]
    shown = [row for row in joined if work.case.models[row["model"]].kind != "switch"]
    for row in shown:
        if work.case.models[row["model"]].kind != "display":
            continue
        others = [_with_release(other) for other in shown if other is not row]
        if others:
            yield step(
                "check",
                row["unit"],
                f"{unit_name(row)} lists all other units",
                "Open the device list and photograph it.",
                expect=_text_expected("Device list", listed(others)),
            )
    for row in powered:
        if row["fate"] in ("added", "replaced") or _taken_off(work, row):
            text = f"starts, release {quoted(row['release'])}" if row["release"] else "starts"
            yield step(
                "check",
                row["unit"],
                f"{unit_name(row)} starts and dies with its own cut-off",
                "Switch its feed off and on once.",
                key="feed",
                expect=_text_expected("Start", text),
            )


def _taken_off(work: Work, row: Row) -> bool:
    device = work.devices.get(row["unit"])
    return device is not None and device.networked and not row["networked"]


def _with_release(row: Row) -> str:
    release = f" at {row['release']}" if row["release"] else ""
    return f"{row['unit']} {row['model']}{release}"


def _text_expected(label: str, text: str) -> dict[str, Any]:
    return {"label": label, "unit": None, "low": None, "high": None, "text": text}


def _labels(work: Work) -> Iterator[Step]:
    for link in work.links:
        if work.stays_put(link):
            continue
        (a, b), (p, q) = link["between"], link["ports"]
        yield step(
            "label",
            None,
            f"Label both ends of {a}:{p} to {b}:{q}",
            f"At {a} write “{b}:{q}”, at {b} write “{a}:{p}”.",
            key=f"{a}:{p}--{b}:{q}",
        )
    used = {link["cable"] for link in work.links}
    for cable in work.case.cables:
        if cable.id not in used:
            yield step(
                "label",
                None,
                f"Label and cap the spare cable {cable.id}",
                f"{cable.cable}, between {cable.a} and {cable.b}: it stays in place, unplugged.",
                key=f"spare:{cable.id}",
            )
    yield from _caps(work)


def _caps(work: Work) -> Iterator[Step]:
    rewired = work.rewired()
    for row in work.rows:
        if row["fate"] == "stays" and row["unit"] not in rewired:
            continue
        used = {
            port
            for link in work.links
            for end, port in zip(link["between"], link["ports"], strict=True)
            if end == row["unit"]
        }
        ports = work.case.models[row["model"]].ports
        empty = [str(port) for port in range(1, ports + 1) if port not in used]
        if row["networked"] and empty:
            word = "port" if len(empty) == 1 else "ports"
            yield step(
                "label",
                row["unit"],
                f"Cap {word} {listed(empty)} of {unit_name(row)}",
                "An open port lets salt and water in.",
                key="caps",
            )
