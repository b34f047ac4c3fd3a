"""What is raised when an input of a sum cannot be used."""

from typing import NoReturn


class SumFault(ValueError):
    """An input that cannot be used.

    `field` names the input (`amps`, `segments[2].metres`), `message` says what is wrong with it
    and what is wanted, in plain words.
    """

    def __init__(self, field: str, message: str) -> None:
        self.field = field
        self.message = message
        super().__init__(f"{field}: {message}")


def refuse(field: str, message: str) -> NoReturn:
    """Raise the fault of one field."""
    raise SumFault(field, message)
