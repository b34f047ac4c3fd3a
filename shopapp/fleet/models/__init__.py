"""Records of the fleet room."""

from shopapp.fleet.models.campaign import (
    Bulletin,
    Campaign,
    CampaignBoat,
    CampaignEntry,
    CampaignNeed,
    CampaignWork,
)
from shopapp.fleet.models.known import Gathered, KnownMove, KnownProblem, NotAlike
from shopapp.fleet.models.lesson import Lesson
from shopapp.fleet.models.question import Question
from shopapp.fleet.models.standing import BoatStanding, Recheck, RecheckPart
from shopapp.fleet.models.tally import Combination, Tally

__all__ = [
    "BoatStanding",
    "Bulletin",
    "Campaign",
    "CampaignBoat",
    "CampaignEntry",
    "CampaignNeed",
    "CampaignWork",
    "Combination",
    "Gathered",
    "KnownMove",
    "KnownProblem",
    "Lesson",
    "NotAlike",
    "Question",
    "Recheck",
    "RecheckPart",
    "Tally",
]
