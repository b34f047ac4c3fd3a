"""The life of a quote and of a job: which moves exist, and whose they are.

Two tables, state -> {next state: who may move it there}. A role set of
`CUSTOMER` means that the customer's own page may do it too; `BY_ITSELF` moves
are made by the desk's clock or by another record, never by a button.
"""

from shopapp.roles import DESK, OFFICE, Role

CUSTOMER = "customer"
BY_ITSELF: frozenset[str] = frozenset()

BENCH = frozenset({Role.TECHNICIAN, Role.MANAGER, Role.OWNER})
CHIEFS = frozenset({Role.MANAGER, Role.OWNER})
ANSWERS = DESK | {CUSTOMER}

QUOTE_MOVES: dict[str, dict[str, frozenset[str]]] = {
    "building": {"survey": DESK, "ready": DESK, "replaced": DESK},
    "survey": {"building": DESK, "ready": DESK, "replaced": DESK},
    "ready": {"building": DESK, "survey": DESK, "sent": DESK, "replaced": DESK},
    "sent": {
        "approved": ANSWERS,
        "declined": ANSWERS,
        "expired": BY_ITSELF,
        "replaced": DESK,
    },
    "approved": {},
    "declined": {"replaced": DESK},
    "expired": {"replaced": DESK},
    "replaced": {},
}

JOB_MOVES: dict[str, dict[str, frozenset[str]]] = {
    "opened": {"waiting": OFFICE, "ready": OFFICE, "cancelled": CHIEFS},
    "waiting": {"ready": OFFICE, "cancelled": CHIEFS},
    "ready": {"waiting": OFFICE, "scheduled": DESK, "cancelled": CHIEFS},
    "scheduled": {"ready": DESK, "on_job": BENCH, "held": BENCH | DESK, "cancelled": CHIEFS},
    "on_job": {"held": BENCH, "done": BENCH},
    "held": {"scheduled": DESK, "on_job": BENCH, "cancelled": CHIEFS},
    "done": {"on_job": BENCH, "checked": BENCH},
    "checked": {"on_job": BENCH, "handed_over": BENCH | DESK},
    "handed_over": {"billed": OFFICE},
    "billed": {"closed": OFFICE},
    "closed": {},
    "cancelled": {},
}


def quote_may_go(before: str, after: str) -> bool:
    """Whether a quote may go from one state to the other."""
    return after in QUOTE_MOVES[before]


def job_may_go(before: str, after: str) -> bool:
    """Whether a job may go from one state to the other."""
    return after in JOB_MOVES[before]


def role_may(
    moves: dict[str, dict[str, frozenset[str]]], before: str, after: str, who: str
) -> bool:
    """Whether this role (or `CUSTOMER`) may make the move; moves by themselves ask nobody."""
    roles = moves[before].get(after)
    return roles is not None and (roles == BY_ITSELF or who in roles)
