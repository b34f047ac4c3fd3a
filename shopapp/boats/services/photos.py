"""Photos: only real pictures are taken, and they are written anew without what hides in them."""

import hashlib
import io
import warnings
from datetime import datetime

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone
from PIL import Image, ImageOps, UnidentifiedImageError

from shopapp.accounts.models import User
from shopapp.boats.models import Boat, Photo
from shopapp.errors import InUse, UploadRefused

# 50 million dots: a good camera's picture, and no bomb of a small file and a huge canvas.
MAX_DOTS = 50_000_000
LONGEST_SIDE = 2400
QUALITY = 85
FORMATS = ("JPEG", "PNG")
NO_PICTURE = "This file is no JPEG or PNG picture, or it is damaged."


def add_photo(
    *,
    boat: Boat,
    upload: UploadedFile,
    by: User,
    caption: str = "",
    taken_at: datetime | None = None,
) -> Photo:
    """Keep a picture with a boat, as a JPEG without its hidden data, named by its digest.

    The same picture is kept once. A file that is too large, or no JPEG or PNG, is an
    UploadRefused with `field="image"`.
    """
    picture = read_picture(upload)
    digest = hashlib.sha256(picture).hexdigest()
    with transaction.atomic():
        Boat.objects.select_for_update().only("pk").get(pk=boat.pk)
        found = Photo.objects.filter(boat=boat, digest=digest).first()
        if found is not None:
            return found
        photo = Photo(boat=boat, digest=digest, caption=caption, by=by)
        photo.taken_at = taken_at or timezone.now()
        photo.image.save(f"{digest}.jpg", ContentFile(picture), save=False)
        photo.save()
    return photo


def read_picture(upload: UploadedFile) -> bytes:
    """The upload as a fresh JPEG, upright, at most 2400 dots a side."""
    limit = settings.UPLOAD_LIMIT_BYTES
    if upload.size > limit:
        raise UploadRefused(
            f"This file has {upload.size / 1e6:.1f} MB; {limit // (1024 * 1024)} MB are taken.",
            field="image",
            todo="Send a smaller picture.",
        )
    raw = upload.read(limit + 1)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            return _jpeg(raw)
    except (
        UnidentifiedImageError,
        Image.DecompressionBombError,
        Image.DecompressionBombWarning,
        OSError,
        SyntaxError,
        ValueError,
        EOFError,
    ) as error:
        raise UploadRefused(
            NO_PICTURE, field="image", todo="Take the photo again, or choose another file."
        ) from error


def _jpeg(raw: bytes) -> bytes:
    with Image.open(io.BytesIO(raw), formats=FORMATS) as image:
        _check_size(image)
        if image.format == "JPEG" and is_torn(raw):
            raise UnidentifiedImageError("the picture ends in its middle")
        image.verify()
    # Verifying spends the file: it is opened anew to be read.
    with Image.open(io.BytesIO(raw), formats=FORMATS) as image:
        upright = ImageOps.exif_transpose(image)
        flat = Image.new("RGB", upright.size, "white")
        with upright.convert("RGBA") as clear:
            flat.paste(clear, mask=clear.getchannel("A"))
    flat.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    out = io.BytesIO()
    flat.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def is_torn(raw: bytes) -> bool:
    """Whether a JPEG file ends before its picture does.

    Looked at here because the printing library tells Pillow, for the whole process,
    to fill torn pictures up with grey.
    """
    place = 2
    while raw[place : place + 1] == b"\xff" and raw[place + 1 : place + 2] != b"\xda":
        place += 2 + int.from_bytes(raw[place + 2 : place + 4], "big")
    return raw.find(b"\xff\xd9", place) == -1


def _check_size(image: Image.Image) -> None:
    if image.width * image.height > MAX_DOTS:
        raise UploadRefused(
            f"This picture is {image.width} × {image.height} dots, more than can be taken.",
            field="image",
            todo="Send it smaller.",
        )


@transaction.atomic
def remove_photo(*, photo: Photo) -> None:
    """Take a photo away; one that evidence or a job rests on stays."""
    used = [
        relation.related_model._meta.verbose_name_plural
        for relation in photo._meta.related_objects
        if relation.related_model.objects.filter(**{relation.field.name: photo}).exists()
    ]
    if used:
        raise InUse(f"This photo backs {', '.join(map(str, sorted(used)))}; it stays.")
    image = photo.image
    photo.delete()
    transaction.on_commit(lambda: image.storage.delete(image.name))
