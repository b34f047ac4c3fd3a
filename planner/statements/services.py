"""Statements are checked before they are kept, superseded instead of rewritten."""

import re
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from planner.models import Statement
from planner.statements.checks import Clash, Fault, circle_of, clashes_of, faults_of
from planner.statements.queries import LONGEST_CHAIN, catalogue_of, rules_in_force
from planner.statements.search import words_of_statement
from shopapp.accounts.models import Shop, User
from shopapp.catalog.services.retiring import restore, retire
from shopapp.errors import FactRefused, MoveRefused

RESERVED = re.compile(r"(?i)(dc_limit|max_new|new\d*|wish-?\d*)\Z")
NUMBERED = re.compile(r"(\D*?)(\d+)\Z")


@dataclass(frozen=True)
class Findings:
    """What a rule does wrong by itself, and which statements in force it clashes with."""

    faults: list[Fault]
    clashes: list[Clash]


def look_into(*, shop: Shop, rule: dict[str, Any], statement: Statement) -> Findings:
    """Check a rule against itself, the catalogue and the other statements in force."""
    catalogue = catalogue_of(shop)
    faults = faults_of(rule, catalogue)
    if faults:
        return Findings(faults, [])
    others = rules_in_force(shop, but={statement.pk, statement.supersedes_id} - {None})
    way = circle_of(rule, others, catalogue)
    if way:
        steps = ", before ".join(way)
        words = f"With the orders in force this runs in a circle: {steps}."
        return Findings([Fault("then", words)], [])
    return Findings([], clashes_of(rule, others, catalogue))


def next_code(shop: Shop) -> str:
    """The number after the highest one, in the same form; `S-001` for the first."""
    numbered = [NUMBERED.match(code) for code in shop.statements.values_list("code", flat=True)]
    found = [match for match in numbered if match]
    if not found:
        return "S-001"
    last = max(found, key=lambda match: int(match[2]))
    return f"{last[1]}{int(last[2]) + 1:0{len(last[2])}d}"


def check_code(code: str) -> None:
    """Refuse numbers that a plan uses for other things."""
    if RESERVED.match(code):
        raise FactRefused(
            f"{code} means something else in a plan.", field="code", todo="Choose another number."
        )


@transaction.atomic
def save_statement(*, statement: Statement, by: User, accept_clash: bool = False) -> Statement:
    """Save a statement that holds together; raises `FactRefused` naming what does not.

    A clash with another statement in force is refused too, unless accepted with
    open eyes: then both stay, and the planner meets the stricter.
    """
    check_code(statement.code)
    if statement.supersedes_id:
        # Two people superseding the same one wait for each other.
        list(Statement.objects.select_for_update().filter(pk=statement.supersedes_id))
    check_supersedes(statement=statement, old=statement.supersedes)
    found = look_into(shop=statement.shop, rule=statement.rule, statement=statement)
    if found.faults:
        raise FactRefused(found.faults[0].message, field=found.faults[0].place)
    if found.clashes and not accept_clash:
        raise FactRefused(found.clashes[0].message, field="accept")
    if statement.pk is None:
        statement.entered_by = by
    statement.search = words_of_statement(statement)
    statement.save()
    return statement


def check_supersedes(*, statement: Statement, old: Statement | None) -> None:
    """Refuse to supersede what is retired, superseded already, or itself the later one."""
    if old is None:
        return
    if old.shop_id != statement.shop_id or old.retired_at:
        raise _not_supersedable(f"{old.code} is retired: nothing is left to supersede.")
    later = Statement.objects.filter(supersedes=old).exclude(pk=statement.pk).first()
    if later:
        raise _not_supersedable(f"{old.code} is superseded by {later.code} already.")
    row = old
    for _ in range(LONGEST_CHAIN):
        if row is None:
            return
        if row.pk == statement.pk:
            raise _not_supersedable(f"{old.code} itself supersedes {statement.code}.")
        row = row.supersedes


def _not_supersedable(words: str) -> FactRefused:
    todo = "Choose the statement that is in force now."
    return FactRefused(words, field="supersedes", todo=todo)


@transaction.atomic
def retire_statement(*, statement: Statement) -> None:
    """Take a statement out of force; what it superseded does not come back by itself."""
    retire(row=statement)


@transaction.atomic
def restore_statement(*, statement: Statement) -> None:
    """Put a retired statement back in force, where it still holds together with the others."""
    found = look_into(shop=statement.shop, rule=statement.rule, statement=statement)
    if found.faults:
        raise MoveRefused(
            f"{statement.code} cannot come back as it is: {found.faults[0].message}",
            todo="Enter it anew, with the rule mended.",
        )
    restore(row=statement)
