"""The error family of the shop's rules.

ShopError (400)
├── FactRefused (422)      a value that cannot be right, with its field
├── MoveRefused (409)      a state that does not allow this move
│   └── StaleRecord (409)  somebody else was first
├── InUse (409)            something still refers to it; retire it instead
├── LinkGone (410)         a customer's link that ran out or was taken back
└── UploadRefused (422)    a file that is too large or not what it says

Each message says what is wrong and what to do. `ShopErrorMiddleware` turns
them into a page or a JSON problem; forms add `FactRefused` beside its field.
"""


class ShopError(Exception):
    """A rule of the shop was not met; `message` is written for the person at the screen."""

    status = 400
    title = "That cannot be done"

    def __init__(self, message: str, *, todo: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.todo = todo


class FactRefused(ShopError):
    """A value that cannot be right; `field` names the form's field, or is empty."""

    status = 422
    title = "That value cannot be right"

    def __init__(self, message: str, *, field: str = "", todo: str = "") -> None:
        super().__init__(message, todo=todo)
        self.field = field


class MoveRefused(ShopError):
    """The record's state does not allow this move."""

    status = 409
    title = "That move is not open now"


class StaleRecord(MoveRefused):
    """Somebody else changed the record first."""

    title = "Somebody else was first"


class InUse(ShopError):
    """Something still refers to the record."""

    status = 409
    title = "Still in use"


class LinkGone(ShopError):
    """A customer's link that ran out or was taken back."""

    status = 410
    title = "This link is no longer open"


class UploadRefused(FactRefused):
    """A file that is too large or not what it says."""

    title = "That file was not taken"
