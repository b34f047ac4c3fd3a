"""Photos come in pieces and go on where they broke off."""

import hashlib
from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction

from shopapp.accounts.models import User
from shopapp.boats.models import Evidence
from shopapp.boats.services.photos import add_photo
from shopapp.errors import FactRefused, StaleRecord, UploadRefused
from shopapp.jobs.models import Job, Problem
from shopapp.tablet.models import Entry, PhotoUpload

State = PhotoUpload.State
MOST_CHUNK = 1024 * 1024


def announce_photo(*, entry: Entry, job: Job) -> PhotoUpload:
    """Say that a photo follows: its name, its size and digest, what it belongs to.

    UploadRefused where it is larger than the shop takes, before a byte of it is sent.
    """
    body = entry.body
    size, digest = body.get("size"), str(body.get("digest", ""))
    try:
        uid = UUID(str(body.get("photo", "")))
        bytes.fromhex(digest)
    except ValueError as error:
        raise UploadRefused("The photo's name or digest is damaged.", field="image") from error
    if not isinstance(size, int) or size < 1 or len(digest) != 64:
        raise UploadRefused("The photo's size or digest is missing.", field="image")
    if size > settings.UPLOAD_LIMIT_BYTES:
        limit = settings.UPLOAD_LIMIT_BYTES // (1024 * 1024)
        raise UploadRefused(
            f"This photo has {size / 1e6:.0f} MB; {limit} MB are taken.",
            field="image",
            todo="Take it again with the tablet's camera, or send a smaller one.",
        )
    row, _ = PhotoUpload.objects.get_or_create(
        shop_id=job.shop_id,
        uid=uid,
        defaults={
            "job": job,
            "by": entry.by,
            "purpose": str(body.get("purpose", ""))[:160],
            "caption": str(body.get("caption", ""))[:120],
            "made_at": entry.made_at,
            "size": size,
            "digest": digest,
        },
    )
    return row


def part_path(row: PhotoUpload) -> Path:
    """Where the pieces of a photo lie until it is whole."""
    return Path(settings.MEDIA_ROOT) / "arriving" / str(row.shop_id) / f"{row.uid}.part"


def take_piece(*, row: PhotoUpload, user: User, start: int, piece: bytes) -> PhotoUpload:
    """Add a piece that begins at byte `start`; a piece that is here already changes nothing.

    StaleRecord where pieces before it are missing: `have` says from where to go on.
    """
    if row.by_id != user.pk:
        raise FactRefused("This photo is another person's.", todo="They sign in to send it.")
    if start < 0 or len(piece) > MOST_CHUNK or start + len(piece) > row.size:
        raise UploadRefused("This piece lies outside the photo.", field="image")
    with transaction.atomic():
        row = PhotoUpload.objects.select_for_update(of=("self",)).get(pk=row.pk)
        if row.state != State.RECEIVING or start + len(piece) <= row.have:
            return row
        if start > row.have:
            raise StaleRecord(f"{row.have} of {row.size} bytes are here.", todo="Go on from there.")
        _write(row, start, piece)
        row.have = start + len(piece)
        row.save(update_fields=["have"])
        if row.have == row.size:
            # Under the same lock: a desk that dies here has not counted the last piece yet.
            _finish(row)
    return row


def _write(row: PhotoUpload, start: int, piece: bytes) -> None:
    path = part_path(row)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.touch()
    with path.open("r+b") as file:
        file.seek(start)
        file.write(piece)
        file.truncate()


def _finish(row: PhotoUpload) -> None:
    """The whole file is here: look at it, keep it with the boat, tie it to what it shows."""
    path = part_path(row)
    raw = path.read_bytes() if path.exists() else b""
    if hashlib.sha256(raw).hexdigest() != row.digest:
        # Pieces of two tries got mixed, or the disk lost some: the tablet begins again.
        row.have = 0
        row.save(update_fields=["have"])
        path.unlink(missing_ok=True)
        return
    try:
        photo = add_photo(
            boat=row.job.boat,
            upload=SimpleUploadedFile("photo.jpg", raw),
            by=row.by,
            caption=row.caption,
            taken_at=row.made_at,
        )
    except UploadRefused as error:
        row.state, row.message = State.REFUSED, f"{error.message} {error.todo}".strip()[:300]
        row.save(update_fields=["state", "message"])
    else:
        row.state, row.photo = State.READY, photo
        row.save(update_fields=["state", "photo"])
        _tie(row)
    path.unlink(missing_ok=True)


def _tie(row: PhotoUpload) -> None:
    """Give the photo to the problem or the evidence that it was taken for."""
    head, _, rest = row.purpose.partition(":")
    if head == "problem":
        entry = Entry.objects.filter(shop_id=row.shop_id, uid=_uid(rest), job=row.job_id).first()
        if entry is not None and entry.body.get("problem"):
            Problem.objects.filter(pk=entry.body["problem"], photo=None).update(photo=row.photo)
    if head == "unit":
        rows = Evidence.objects.filter(
            boat=row.job.boat, unit__name=rest, job_number=row.job.number, photo=None
        )
        rows.update(photo=row.photo)


def _uid(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None
