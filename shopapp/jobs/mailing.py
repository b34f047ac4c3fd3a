"""A worker's work: hand one letter to the mail server, never knowingly twice.

What the server refused is tried again later or given up; what may have gone out although nobody
heard the end of it is left to a person, who can look and decide.
"""

import logging
from datetime import datetime
from smtplib import SMTPException, SMTPRecipientsRefused, SMTPResponseException
from uuid import UUID

from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.utils import timezone

from shopapp.jobs.documents.files import paper_bytes, paper_name
from shopapp.jobs.models import Letter
from shopapp.work.models import RowState

log = logging.getLogger(__name__)
PERHAPS = (
    "It may have gone out: the worker heard no end of it ({why}). "
    "Ask whether it came; “Send again” sends it once more."
)
TAKEN = "Taken by the mail server."


def send_letter(pk: int) -> bool:
    """Send one letter if it is open; whether this call did it."""
    mark = Letter.objects.claim(pk)
    if mark is None:
        return False
    letter = Letter.objects.select_related("shop", "paper__quote").get(pk=pk)
    if letter.handed_at is not None:
        Letter.objects.fail(pk, mark, PERHAPS.format(why="it stopped in the middle"))
        return False
    try:
        message, digest = _message(letter)
        server = get_connection()
        server.open()
    except (OSError, SMTPException, ValueError) as fault:
        Letter.objects.give_back(pk, mark, f"The mail server was not reached: {_words(fault)}")
        return False
    return _hand_over(letter, mark, server, message, digest)


def _message(letter: Letter) -> tuple[EmailMessage, str]:
    """The e-mail, and the digest of the paper in it ("" without one)."""
    message = EmailMessage(
        subject=letter.subject,
        body=letter.body,
        to=[letter.to],
        reply_to=[letter.reply_to] if letter.reply_to else None,
        headers={"Message-ID": letter.message_id},
    )
    paper = letter.paper
    if paper is None or paper.row_state != RowState.READY:
        return message, ""
    message.attach(paper_name(paper), paper_bytes(paper), "application/pdf")
    return message, paper.digest


def _hand_over(
    letter: Letter, mark: UUID, server: BaseEmailBackend, message: EmailMessage, digest: str
) -> bool:
    handed = timezone.now()
    mine = Letter.objects.filter(pk=letter.pk, row_state=RowState.RUNNING, lease_owner=mark)
    if mine.update(handed_at=handed) != 1:
        return False  # overtaken before anything went out
    try:
        server.send_messages([message])
    except (SMTPResponseException, SMTPRecipientsRefused) as fault:
        _refused(letter, mark, fault)
        return False
    except (SMTPException, OSError) as fault:
        log.warning("letter %s: no end was heard", letter.pk, exc_info=fault)
        Letter.objects.fail(letter.pk, mark, PERHAPS.format(why=_words(fault)))
        return False
    finally:
        _close(server)
    _sent(letter, handed, digest)
    return True


def _sent(letter: Letter, handed: datetime, digest: str) -> None:
    """It went out: that is true whoever holds the row by now."""
    result = TAKEN
    if letter.paper_id and not digest:
        result = f"{TAKEN} Without the PDF, which could not be made."
    Letter.objects.filter(pk=letter.pk, handed_at=handed).update(
        row_state=RowState.READY,
        lease_owner=None,
        lease_until=None,
        finished_at=timezone.now(),
        reason="",
        result=result,
        paper_digest=digest,
    )


def _refused(
    letter: Letter, mark: UUID, fault: SMTPResponseException | SMTPRecipientsRefused
) -> None:
    """The server said no, so nothing went out: "later" is tried again, "never" is not."""
    words = f"The mail server refused it: {_words(fault)}"
    if _code(fault) >= 500:
        Letter.objects.fail(letter.pk, mark, words)
        return
    Letter.objects.filter(pk=letter.pk, lease_owner=mark).update(handed_at=None)
    Letter.objects.give_back(letter.pk, mark, words)


def _code(fault: SMTPResponseException | SMTPRecipientsRefused) -> int:
    if isinstance(fault, SMTPRecipientsRefused):
        return max(code for code, _ in fault.recipients.values())
    return fault.smtp_code


def _close(server: BaseEmailBackend) -> None:
    try:
        server.close()
    except (OSError, SMTPException) as fault:
        log.info("the mail server's door was shut already: %s", fault)


def _words(fault: Exception) -> str:
    """What the server said, as a person reads it."""
    if isinstance(fault, SMTPRecipientsRefused):
        said = (f"{code} {_plain(text)}" for code, text in fault.recipients.values())
        return "; ".join(said)[:200]
    if isinstance(fault, SMTPResponseException):
        return f"{fault.smtp_code} {_plain(fault.smtp_error)}"[:200]
    return str(fault)[:200] or type(fault).__name__


def _plain(said: bytes | str) -> str:
    return said.decode("utf-8", "replace") if isinstance(said, bytes) else said
