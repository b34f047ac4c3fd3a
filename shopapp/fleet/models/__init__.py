"""Records of the fleet room."""

from shopapp.fleet.models.known import Gathered, KnownMove, KnownProblem, NotAlike

__all__ = ["Gathered", "KnownMove", "KnownProblem", "NotAlike"]
