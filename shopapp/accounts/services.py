"""What is done with people and their sign-ins; each asks only for what it needs."""

import secrets
from datetime import date, timedelta
from importlib import import_module

from django.conf import settings
from django.contrib.auth import login
from django.db import transaction
from django.http import HttpRequest
from django.utils import timezone

from shopapp.accounts.models import Shop, SignIn, TaxRate, User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.roles import Role

# No letters or figures that are read for one another on paper.
ALPHABET = "abcdefghjkmnpqrstuvwxyz23456789"


def temporary_password() -> str:
    """Sixteen random signs in four groups, easy to read out (about 79 bits)."""
    return "-".join("".join(secrets.choice(ALPHABET) for _ in range(4)) for _ in range(4))


def begin_sign_in(*, request: HttpRequest, user: User) -> SignIn:
    """Open the session; the time of it goes to the list of sign-ins, not to the changes."""
    user.skip_history_when_saving = True
    login(request, user)
    del user.skip_history_when_saving
    return note_sign_in(request=request, user=user)


def note_sign_in(*, request: HttpRequest, user: User) -> SignIn:
    """Record the session just begun, so that it can be listed and ended."""
    if not request.session.session_key:
        request.session.save()
    row, _ = SignIn.objects.update_or_create(
        session_key=request.session.session_key,
        defaults={
            "user": user,
            "address": request.META.get("REMOTE_ADDR") or None,
            "browser": request.META.get("HTTP_USER_AGENT", "")[:200],
            "started_at": timezone.now(),
            "last_seen_at": timezone.now(),
        },
    )
    return row


def end_sign_ins(*, user: User, keep_session: str | None = None, pk: int | None = None) -> int:
    """End a person's sign-ins: all, all but one session, or the one named by `pk`."""
    rows = SignIn.objects.filter(user=user)
    if pk is not None:
        rows = rows.filter(pk=pk)
    if keep_session:
        rows = rows.exclude(session_key=keep_session)
    store = import_module(settings.SESSION_ENGINE).SessionStore
    ended = list(rows)
    for row in ended:
        store(row.session_key).delete()
    rows.filter(pk__in=[row.pk for row in ended]).delete()
    return len(ended)


def end_sign_ins_of_session(*, session_key: str | None) -> None:
    """Strike one session from the list; the session itself is flushed by sign-out."""
    SignIn.objects.filter(session_key=session_key).delete()


def live_sign_ins(user: User) -> list[SignIn]:
    """The person's sign-ins that have not run out; run-out rows are cleared away."""
    store = import_module(settings.SESSION_ENGINE).SessionStore
    oldest = timezone.now() - timedelta(seconds=settings.SESSION_COOKIE_AGE)
    SignIn.objects.filter(user=user, last_seen_at__lt=oldest).delete()
    return [row for row in SignIn.objects.filter(user=user) if store().exists(row.session_key)]


@transaction.atomic
def change_own_password(*, request: HttpRequest, user: User, fresh: str) -> None:
    """Set the new password, end all other sign-ins, and keep this one under a new key."""
    end_sign_ins(user=user)
    user.set_password(fresh)
    user.must_change_password = False
    user.save()
    request.session.cycle_key()
    request.session["_auth_user_hash"] = user.get_session_auth_hash()
    note_sign_in(request=request, user=user)


@transaction.atomic
def add_person(*, user: User, shop: Shop) -> str:
    """Save a new person of the shop; the answer is the temporary password, shown once."""
    word = temporary_password()
    user.shop = shop
    user.must_change_password = True
    user.set_password(word)
    user.save()
    return word


@transaction.atomic
def reset_password(*, user: User) -> str:
    """Give a new temporary password and end the person's sign-ins."""
    word = temporary_password()
    user.set_password(word)
    user.must_change_password = True
    user.save()
    end_sign_ins(user=user)
    return word


@transaction.atomic
def save_person(*, user: User, role: str) -> None:
    """Save a person's facts and role; the last owner stays owner."""
    if role != Role.OWNER:
        _keep_an_owner(user, field="role")
    user.role = role
    user.save()


@transaction.atomic
def set_active(*, user: User, active: bool, by: User) -> None:
    """Let a person in again, or shut them out and end their sign-ins."""
    if not active and user == by:
        raise MoveRefused(
            "You cannot shut out yourself.", todo="Ask another owner of the system to do it."
        )
    if not active:
        _keep_an_owner(user)
        end_sign_ins(user=user)
    user.is_active = active
    user.save()


def _keep_an_owner(user: User, *, field: str = "") -> None:
    owners = User.objects.select_for_update(of=("self",)).filter(
        shop_id=user.shop_id, role=Role.OWNER, is_active=True
    )
    if {owner.pk for owner in owners} == {user.pk}:
        raise FactRefused(
            f"{user} is the last owner of the system, and nobody else could let people in.",
            field=field,
            todo="Make another person owner first.",
        )


def end_tax(*, rate: TaxRate, last_day: date) -> None:
    """Let a tax rate end after a day; quotes judged with it keep it."""
    if last_day < rate.valid_from:
        raise FactRefused("The last day lies before the first day.", field="valid_until")
    rate.valid_until = last_day
    rate.save()
