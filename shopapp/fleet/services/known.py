"""Known problems: made of notes, taken in, parted, merged, split, and taken back."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.catalog.models import EquipmentModel
from shopapp.errors import FactRefused, MoveRefused
from shopapp.fleet.alike import WITH_FACTS, note_of
from shopapp.fleet.likeness import Likeness, profile_of
from shopapp.fleet.models import Gathered, KnownMove, KnownProblem, NotAlike
from shopapp.jobs.models import Problem
from shopapp.jobs.services.numbers import next_number

MOST_IN_PROFILE = 500
Act = KnownMove.Act


@dataclass(frozen=True)
class Naming:
    """What a known problem is called and known by."""

    title: str
    symptom: str
    model: EquipmentModel | None = None
    counterpart: EquipmentModel | None = None
    cause: str = ""
    cure: str = ""
    safety: bool = False


@transaction.atomic
def make_known(
    *, shop: Shop, problems: Sequence[Problem], naming: Naming, by: User
) -> KnownProblem:
    """One known problem out of notes that belong to none yet; FactRefused where one does."""
    if not problems:
        raise FactRefused("Choose the notes that show it.", field="problems")
    _check_loose(problems)
    known = _create(shop, naming, by)
    _move(problems, known, by)
    moved = [[row.pk, None, known.pk] for row in problems]
    KnownMove.objects.create(known=known, act=Act.MADE, moved=moved, by=by)
    return refresh_profile(known)


def _check_loose(problems: Sequence[Problem]) -> None:
    taken = Gathered.objects.filter(problem__in=problems, ended_at__isnull=True)
    row = taken.select_related("known", "problem__boat").first()
    if row is not None:
        raise FactRefused(
            f"The note on {row.problem.boat} belongs to {row.known} already.",
            field="problems",
            todo="Part it there first, or merge the two.",
        )


def _create(shop: Shop, naming: Naming, by: User) -> KnownProblem:
    if not naming.title.strip():
        raise FactRefused("Give it a few words that people will know it by.", field="title")
    return KnownProblem.objects.create(
        shop=shop,
        code=next_number(shop=shop, series="K"),
        title=naming.title.strip(),
        symptom=naming.symptom,
        model=naming.model,
        counterpart=naming.counterpart,
        cause=naming.cause.strip(),
        cure=naming.cure.strip(),
        safety=naming.safety,
        made_by=by,
    )


def _move(problems: Iterable[Problem], known: KnownProblem, by: User) -> None:
    Gathered.objects.bulk_create(Gathered(known=known, problem=row, by=by) for row in problems)


@transaction.atomic
def take_in(
    *, problem: Problem, known: KnownProblem, by: User, likeness: Likeness | None = None
) -> Gathered:
    """A person confirms that a note is this known problem; the reasons are kept with it."""
    known = _locked(known)
    _check_loose([problem])
    row = Gathered.objects.create(
        known=known,
        problem=problem,
        by=by,
        likeness=likeness.points if likeness else None,
        reasons=[list(reason) for reason in likeness.reasons] if likeness else [],
    )
    NotAlike.objects.filter(known=known, problem=problem).delete()
    moved = [[problem.pk, None, known.pk]]
    KnownMove.objects.create(known=known, act=Act.CONFIRMED, moved=moved, by=by)
    refresh_profile(known)
    return row


def _locked(known: KnownProblem) -> KnownProblem:
    """The row, held for this transaction; MoveRefused once it was merged into another."""
    fresh = KnownProblem.objects.select_for_update(of=("self",)).get(pk=known.pk)
    if fresh.merged_into_id:
        into = KnownProblem.objects.get(pk=fresh.merged_into_id)
        raise MoveRefused(f"{fresh.code} was merged into {into}.", todo=f"Go on in {into.code}.")
    return fresh


@transaction.atomic
def say_not_alike(*, problem: Problem, known: KnownProblem, by: User) -> None:
    """A person says that the note is another fault; it is not proposed again."""
    NotAlike.objects.get_or_create(known=known, problem=problem, defaults={"by": by})


@transaction.atomic
def part_note(*, problem: Problem, known: KnownProblem, by: User, note: str = "") -> None:
    """Take a note out again: it was another fault. MoveRefused where it is not in it."""
    known = _locked(known)
    if not _end([problem.pk], known):
        raise MoveRefused(f"That note is not in {known.code}.", todo="Look at the page anew.")
    say_not_alike(problem=problem, known=known, by=by)
    moved = [[problem.pk, known.pk, None]]
    KnownMove.objects.create(known=known, act=Act.PARTED, moved=moved, by=by, note=note[:300])
    refresh_profile(known)


def _end(problems: Sequence[int], known: KnownProblem) -> int:
    rows = Gathered.objects.filter(problem__in=problems, known=known, ended_at__isnull=True)
    return rows.update(ended_at=timezone.now())


@transaction.atomic
def merge_known(
    *, known: KnownProblem, into: KnownProblem, by: User, note: str = ""
) -> KnownProblem:
    """Two known problems shown to be one: the notes move, the old one stays with its history.

    FactRefused for a merge with itself, with another shop's, or with one merged already.
    """
    if known.pk == into.pk:
        raise FactRefused(
            f"{known.code} cannot be merged with itself.", field="into", todo="Choose another one."
        )
    if known.shop_id != into.shop_id:
        raise FactRefused("That one belongs to another shop.", field="into")
    for pk in sorted([known.pk, into.pk]):
        _locked(known if pk == known.pk else into)
    rows = list(Gathered.objects.filter(known=known, ended_at__isnull=True).select_related(
        "problem"))  # fmt: skip
    problems = [row.problem for row in rows]
    _end([row.pk for row in problems], known)
    _move(problems, into, by)
    KnownProblem.objects.filter(pk=known.pk).update(merged_into=into)
    moved = [[row.pk, known.pk, into.pk] for row in problems]
    KnownMove.objects.create(
        known=into, other=known, act=Act.MERGED, moved=moved, by=by, note=note[:300]
    )
    known.refresh_from_db()
    known.save()  # its own history says when it was merged
    refresh_profile(known)
    return refresh_profile(into)


@transaction.atomic
def split_known(
    *, known: KnownProblem, problems: Sequence[Problem], naming: Naming, by: User
) -> KnownProblem:
    """Some notes turn out to be another fault: they become a known problem of their own."""
    known = _locked(known)
    if not problems:
        raise FactRefused("Choose the notes to split off.", field="problems")
    pks = [row.pk for row in problems]
    if _end(pks, known) != len(pks):
        raise MoveRefused(f"Not all of these are in {known.code}.", todo="Look at the page anew.")
    fresh = _create(known.shop, naming, by)
    _move(problems, fresh, by)
    moved = [[pk, known.pk, fresh.pk] for pk in pks]
    KnownMove.objects.create(known=known, other=fresh, act=Act.SPLIT, moved=moved, by=by)
    refresh_profile(known)
    return refresh_profile(fresh)


@transaction.atomic
def undo_move(*, move: KnownMove, by: User) -> None:
    """Take a move back: every note returns to where it was.

    MoveRefused where it was taken back already or a note has been moved on since.
    """
    move = KnownMove.objects.select_for_update(of=("self",)).get(pk=move.pk)
    if move.undone_at is not None:
        raise MoveRefused("This was taken back already.", todo="Look at the page anew.")
    if move.act == Act.UNDONE:
        raise MoveRefused("What was taken back is done anew, not taken back again.")
    for problem, _before, after in move.moved:
        here = Gathered.objects.filter(problem=problem, ended_at__isnull=True).first()
        if (here.known_id if here else None) != after:
            raise MoveRefused(
                "A note has been moved on since.", todo="Take the later move back first."
            )
    _return(move, by)
    KnownMove.objects.filter(pk=move.pk).update(undone_at=timezone.now())
    back = [[problem, after, before] for problem, before, after in move.moved]
    KnownMove.objects.create(
        known=move.known, other=move.other, act=Act.UNDONE, moved=back, by=by,
        note=f"{move.get_act_display()}, taken back",
    )  # fmt: skip


def _return(move: KnownMove, by: User) -> None:
    if move.act == Act.MERGED:
        KnownProblem.objects.filter(pk=move.other_id).update(merged_into=None)
    now = timezone.now()
    for problem, before, _after in move.moved:
        Gathered.objects.filter(problem=problem, ended_at__isnull=True).update(ended_at=now)
        if before is not None:
            Gathered.objects.create(known_id=before, problem_id=problem, by=by)
    for row in (move.known, move.other):
        if row is not None:
            refresh_profile(row)


def refresh_profile(known: KnownProblem) -> KnownProblem:
    """Count its notes anew, the latest five hundred, for likeness."""
    rows = Problem.objects.filter(gathered__known=known, gathered__ended_at__isnull=True)
    notes = [note_of(row) for row in rows.select_related(*WITH_FACTS)[:MOST_IN_PROFILE]]
    known.profile = profile_of(notes).as_json()
    KnownProblem.objects.filter(pk=known.pk).update(profile=known.profile)
    return known


@transaction.atomic
def rename_known(*, known: KnownProblem, naming: Naming) -> KnownProblem:
    """Put its words right: title, cause, cure, what it is on."""
    known = _locked(known)
    if not naming.title.strip():
        raise FactRefused("Give it a few words that people will know it by.", field="title")
    known.title, known.symptom = naming.title.strip(), naming.symptom
    known.model, known.counterpart = naming.model, naming.counterpart
    known.cause, known.cure = naming.cause.strip(), naming.cure.strip()
    known.safety = naming.safety
    known.save()
    return known
