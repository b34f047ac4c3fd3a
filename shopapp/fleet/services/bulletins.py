"""Bulletins: checked and kept; what they withdraw is withdrawn from every plan in one stroke."""

from datetime import date

from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.errors import FactRefused
from shopapp.fleet.models import Bulletin
from shopapp.fleet.serials import in_order
from shopapp.jobs.services.numbers import next_number

SERIES = "B"
Kind = Bulletin.Kind
# What each kind of bulletin speaks of; what else was filled in is dropped.
NAMES = {
    Kind.WITHDRAWN: ("release", "target"),
    Kind.URGED: ("release", "target"),
    Kind.RECALLED: ("part", "serial_from", "serial_to", "replace_by", "minutes"),
    Kind.RULE: ("statement",),
}
EMPTY = {"serial_from": "", "serial_to": "", "minutes": 0}


@transaction.atomic
def enter_bulletin(*, bulletin: Bulletin, by: User, today: date | None = None) -> Bulletin:
    """Keep a bulletin under the shop's next number; FactRefused names what is wrong with it.

    A withdrawn release is marked so in the catalogue: from then on no plan leads to it.
    """
    _drop_what_is_of_other_kinds(bulletin)
    _check_named(bulletin)
    _check_days(bulletin, today or timezone.localdate())
    _check_firmware(bulletin)
    _check_recall(bulletin)
    _check_rule(bulletin)
    _check_once(bulletin)
    bulletin.shop, bulletin.entered_by = by.shop, by
    bulletin.number = next_number(shop=by.shop, series=SERIES)
    bulletin.save()
    if bulletin.kind == Kind.WITHDRAWN and not bulletin.release.withdrawn:
        bulletin.release.withdrawn = True
        bulletin.release.save()
    return bulletin


def _drop_what_is_of_other_kinds(bulletin: Bulletin) -> None:
    for name in {name for names in NAMES.values() for name in names}:
        if name not in NAMES[Kind(bulletin.kind)]:
            setattr(bulletin, name, EMPTY.get(name))


def _check_named(bulletin: Bulletin) -> None:
    name = NAMES[Kind(bulletin.kind)][0]
    if getattr(bulletin, name) is None:
        words = {"release": "which release", "part": "which part", "statement": "which statement"}
        raise FactRefused(f"Say {words[name]} it speaks of.", field=name)


def _check_days(bulletin: Bulletin, today: date) -> None:
    if bulletin.issued_on > today:
        raise FactRefused("It cannot be issued on a day to come.", field="issued_on")
    if bulletin.due_on and bulletin.due_on < bulletin.issued_on:
        raise FactRefused("It cannot be due before it was issued.", field="due_on")


def _check_firmware(bulletin: Bulletin) -> None:
    release, target = bulletin.release, bulletin.target
    if release is None:
        return
    model = release.model
    if bulletin.kind == Kind.URGED and release.withdrawn:
        raise FactRefused(
            f"{release} of {model} is withdrawn: nobody can be urged to it.",
            field="release",
            todo="Name the release that is sound.",
        )
    if bulletin.kind == Kind.WITHDRAWN and model.ships_with_id == release.pk:
        raise FactRefused(
            f"By the catalogue a new {model} ships with {release}.",
            field="release",
            todo="Put right what new ones ship with, then enter the bulletin.",
        )
    if target is not None:
        _check_target(bulletin)


def _check_target(bulletin: Bulletin) -> None:
    release, target = bulletin.release, bulletin.target
    if target.model_id != release.model_id:
        raise FactRefused(f"{target} is a release of {target.model}.", field="target")
    if target.withdrawn or (target.pk == release.pk and bulletin.kind == Kind.WITHDRAWN):
        raise FactRefused(f"{target} is withdrawn: boats cannot be sent there.", field="target")
    if bulletin.kind == Kind.URGED and target.rank < release.rank:
        raise FactRefused(f"{target} came out before {release}.", field="target")


def _check_recall(bulletin: Bulletin) -> None:
    low, high = bulletin.serial_from, bulletin.serial_to
    if bool(low) != bool(high):
        raise FactRefused(
            "Give both ends of the serial numbers, or none.",
            field="serial_to" if low else "serial_from",
        )
    if low and not in_order(low, high):
        raise FactRefused(
            "These are no two ends of one row of serial numbers.",
            field="serial_to",
            todo="Both begin with the same letters and end in a figure, the lower one first.",
        )
    model = bulletin.replace_by
    if model is not None and model.part_id == bulletin.part_id:
        raise FactRefused(
            f"{model} is sold as just this part.",
            field="replace_by",
            todo="Leave it empty to exchange it for a new one of the same.",
        )


def _check_rule(bulletin: Bulletin) -> None:
    statement = bulletin.statement
    if statement is None:
        return
    later = getattr(statement, "superseded_by", None)
    if statement.retired_at or later:
        fate = f"superseded by {later.code}" if later else "retired"
        raise FactRefused(
            f"{statement.code} is {fate}.",
            field="statement",
            todo="Name the statement that is in force now.",
        )
    if statement.rule.keys() & {"before", "then"}:
        raise FactRefused(
            f"{statement.code} is an order of updates: no boat in service breaks it.",
            field="statement",
        )


def _check_once(bulletin: Bulletin) -> None:
    named = NAMES[Kind(bulletin.kind)][0]
    same = {
        "kind": bulletin.kind,
        "source": bulletin.source,
        named: getattr(bulletin, named),
        "serial_from": bulletin.serial_from,
    }
    row = Bulletin.objects.filter(campaign__closed_at__isnull=True, **same).first()
    if row is not None:
        raise FactRefused(
            f"{row.number} says the same and is not closed.",
            field="source",
            todo="Go on with that one, or close it first.",
        )
