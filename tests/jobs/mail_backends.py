"""Mail servers that fail in one way each, for tests."""

from smtplib import SMTPDataError, SMTPRecipientsRefused, SMTPServerDisconnected

from django.core.mail.backends.base import BaseEmailBackend


class Away(BaseEmailBackend):
    """Nobody opens the door."""

    def open(self) -> bool:
        raise ConnectionRefusedError(111, "Connection refused")


class Later(BaseEmailBackend):
    """It is full just now, and takes the letter another time."""

    def send_messages(self, email_messages: list) -> int:
        raise SMTPDataError(452, b"mailbox is full")


class Never(BaseEmailBackend):
    """It knows nobody of that name."""

    def send_messages(self, email_messages: list) -> int:
        raise SMTPRecipientsRefused({"odile@example.com": (550, b"no such person")})


class Silent(BaseEmailBackend):
    """It hangs up in the middle: nobody knows whether the letter was taken."""

    def send_messages(self, email_messages: list) -> int:
        raise SMTPServerDisconnected("Connection unexpectedly closed")
