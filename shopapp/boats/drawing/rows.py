"""The same facts as a drawing in rows, for a screen reader, a table on a page and a print."""

from .facts import LINE_WORDS, Backbone, Bank, BoatSheet, Plate, Run, Tee, feet_words
from .places import find_spot
from .plates import describe_fate, name_ends

NOT_KNOWN = "not known"


def sheet_rows(sheet: BoatSheet) -> list[dict[str, str]]:
    """Return a row for each unit, run, backbone, tee and marked bank of the sheet, in that order.

    Every row has: id, what ("Unit", "Ethernet run", "Backbone", "Tee", "Battery bank"), name,
    where, detail, length and fate, all words ready to read.
    """
    places = {place.id: place.name for place in sheet.places}
    spots = sorted(sheet.places, key=lambda place: -find_spot(place)[0])
    order = {place.id: index for index, place in enumerate(spots)}
    units = sorted(sheet.units, key=lambda unit: order.get(unit.place, len(order)))
    names = {unit.id: unit.name for unit in (*sheet.units, *name_ends(sheet))}
    rows = [_unit_row(unit, places) for unit in units]
    rows += [_run_row(index, run, names) for index, run in enumerate(sheet.runs, 1)]
    for number, bone in enumerate(sheet.backbone, 1):
        rows.append(_backbone_row(number, bone))
        for index, tee in enumerate(bone.tees, 1):
            rows.append(_tee_row(f"{number}-{index}", tee, places, names))
    return rows + [_bank_row(index, bank, places) for index, bank in enumerate(sheet.banks, 1)]


def _row(
    key: str, what: str, name: str, *, where: str, detail: str, length: str, fate: str
) -> dict[str, str]:
    return {
        "id": key,
        "what": what,
        "name": name,
        "where": where,
        "detail": detail,
        "length": length,
        "fate": fate,
    }


def _unit_row(unit: Plate, places: dict[str, str]) -> dict[str, str]:
    model = " → ".join(words for words in (unit.model or unit.kind, unit.model_after) if words)
    detail = f"{model}, {unit.ports} ports" if unit.is_switch else model
    where = places.get(unit.place or "", "place not known")
    fate = _with_check(describe_fate(unit), unit.check)
    return _row(unit.id, "Unit", unit.name, where=where, detail=detail, length="", fate=fate)


def _run_row(index: int, run: Run, names: dict[str, str]) -> dict[str, str]:
    ends = [
        f"{names[unit]} port {NOT_KNOWN if port is None else port}"
        for unit, port in ((run.a, run.port_a), (run.b, run.port_b))
    ]
    return _row(
        f"run-{index}",
        "Ethernet run",
        run.label or "no label",
        where=" to ".join(ends),
        detail="",
        length=feet_words(run.feet),
        fate=_with_check(LINE_WORDS[run.fate], run.check),
    )


def _with_check(fate: str, check: tuple[str, str]) -> str:
    return "; ".join(words for words in (fate, check[1]) if words)


def _bank_row(index: int, bank: Bank, places: dict[str, str]) -> dict[str, str]:
    where = places.get(bank.place or "", "place not known")
    key = f"bank-{index}"
    return _row(
        key, "Battery bank", bank.name, where=where, detail="", length="", fate=bank.check[1]
    )  # fmt: skip


def _backbone_row(number: int, bone: Backbone) -> dict[str, str]:
    words = {True: "terminator", False: "NO TERMINATOR", None: "terminator not known"}
    ends = f"first end: {words[bone.terminator_first]}; last end: {words[bone.terminator_last]}"
    return _row(
        f"backbone-{number}",
        "Backbone",
        bone.name or "Backbone",
        where="",
        detail=f"{len(bone.tees)} tees; {ends}",
        length=feet_words(bone.feet),
        fate=bone.check[1],
    )


def _tee_row(key: str, tee: Tee, places: dict[str, str], names: dict[str, str]) -> dict[str, str]:
    if tee.unit:
        name = f"drop to {names[tee.unit]}"
    elif tee.power:
        name = f"power feed: {tee.power}"
    else:
        name = "spare tee" if tee.spare else "tee, use not known"
    return _row(
        f"tee-{key}",
        "Tee",
        name,
        where=places.get(tee.place or "", "place not known"),
        detail="",
        length=feet_words(tee.feet) if tee.unit else "",
        fate=LINE_WORDS[tee.fate],
    )
