"""What a search may be held to beyond the case itself: passes, and the gate of several.

A pass looks at one option, one selection of switches or one placing of new ones, and lets it
through or not. A pass never gives way inside a search; who asks decides which passes stand.
"""

from dataclasses import dataclass

from planner.engine.problem import Option
from planner.engine.selections import Placed, Selection


class Pass:
    """Lets everything through; each kind of pass narrows what it minds."""

    minds_models = False
    minds_places = False

    def unit(self, _slot: int, _option: Option) -> bool:
        """Whether this unit may take this option."""
        return True

    def switch(self, _slot: int, _option: Option) -> bool:
        """Whether this existing switch may take this option."""
        return True

    def new(self, _option: Option) -> bool:
        """Whether a new switch may be this."""
        return True

    def selection(self, _selection: Selection) -> bool:
        """Whether these switches may be networked together."""
        return True

    def placed(self, _placed: Placed) -> bool:
        """Whether the new switches may stand at these places."""
        return True


@dataclass(frozen=True)
class Gate:
    """Several passes at once."""

    passes: tuple[Pass, ...] = ()

    @property
    def minds_models(self) -> bool:
        """Whether switches of different models must be told apart."""
        return any(one.minds_models for one in self.passes)

    @property
    def minds_places(self) -> bool:
        """Whether the places of new switches matter even where every place is as good."""
        return any(one.minds_places for one in self.passes)

    def unit(self, slot: int, option: Option) -> bool:
        """Whether every pass lets this unit take this option."""
        return all(one.unit(slot, option) for one in self.passes)

    def switch(self, slot: int, option: Option) -> bool:
        """Whether every pass lets this existing switch take this option."""
        return all(one.switch(slot, option) for one in self.passes)

    def new(self, option: Option) -> bool:
        """Whether every pass lets a new switch be this."""
        return all(one.new(option) for one in self.passes)

    def selection(self, selection: Selection) -> bool:
        """Whether every pass lets these switches be networked together."""
        return all(one.selection(selection) for one in self.passes)

    def placed(self, placed: Placed) -> bool:
        """Whether every pass lets the new switches stand at these places."""
        return all(one.placed(placed) for one in self.passes)

    def lets(self, units: tuple[Option, ...], placed: Placed) -> bool:
        """Whether a whole plan passes."""
        selection = placed.selection
        return (
            all(self.unit(n, option) for n, option in enumerate(units))
            and all(self.switch(n, option) for n, option in enumerate(selection.switches))
            and all(self.new(option) for option in selection.new)
            and self.selection(selection)
            and self.placed(placed)
        )


OPEN = Gate()
