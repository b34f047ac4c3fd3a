"""Choosing the boat whose record fills a sum."""

from shopapp.ui.forms import DeskForm, PickField


class TakeForm(DeskForm):
    """A boat of the shop."""

    boat = PickField("boats", label="Boat")
