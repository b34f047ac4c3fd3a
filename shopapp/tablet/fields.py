"""Which fields a tablet may write, of what, how long, and what they are called."""

from shopapp.errors import FactRefused

# What a target's first word allows: field -> (words for a person, most characters).
FIELDS: dict[str, dict[str, tuple[str, int]]] = {
    "step": {
        "state": ("answer", 9),
        "reading": ("reading", 20),
        "found": ("serial or release found", 80),
        "note": ("note", 2000),
        "minutes": ("minutes worked", 6),
    },
    "unit": {
        "serial": ("serial", 60),
        "release": ("release", 40),
        "model": ("model", 60),
        "note": ("note", 500),
    },
    "box": {
        "what": ("what it is", 200),
        "where": ("place", 80),
        "code": ("serial or code", 80),
        "note": ("note", 500),
    },
    "port": {
        "colour": ("light's colour", 20),
        "pattern": ("light's pattern", 8),
        "cable": ("cable's label", 40),
        "note": ("note", 500),
    },
    "look": {
        "value": ("what was seen", 80),
    },
    "trial": {
        "state": ("result", 9),
        "value": ("reading", 40),
        "note": ("note", 500),
    },
    "punch": {
        "state": ("result", 9),
        "text": ("point", 200),
        "note": ("note", 500),
    },
    "ask": {
        "words": ("what must change", 2000),
        "unit": ("unit", 60),
        "verdict": ("what the tablet said", 500),
        "state": ("state", 9),
    },
    "time": {
        "begun": ("begun", 30),
        "ended": ("ended", 30),
        "what": ("work", 80),
    },
    "sign": {
        "name": ("name", 120),
        "words": ("what was signed", 1000),
        "photo": ("signature", 40),
        "place": ("place", 80),
    },
}
MOST_TARGET = 160


def split_target(target: str) -> tuple[str, str]:
    """`step:check:d1` as (`step`, `check:d1`). FactRefused where no such thing is written."""
    head, _, rest = target.partition(":")
    if head not in FIELDS or not rest or len(target) > MOST_TARGET:
        raise FactRefused(
            f"Nothing called “{target[:60]}” is written from a tablet.",
            todo="Reload the tablet's page while there is signal: it is of another version.",
        )
    return head, rest


def checked_fields(head: str, fields: object) -> dict[str, str]:
    """The fields as text, each known and short enough; FactRefused with its name else."""
    if not isinstance(fields, dict) or not fields:
        raise FactRefused("The entry says nothing.", todo="Enter it again.")
    known = FIELDS[head]
    found = {}
    for name, value in fields.items():
        if name not in known or not isinstance(value, str):
            raise FactRefused(f"A {head} has no “{str(name)[:30]}”.", field=str(name)[:30])
        words, most = known[name]
        if len(value) > most or "\x00" in value:
            raise FactRefused(
                f"The {words} is longer than {most} characters, or holds a sign that cannot be "
                "kept.",
                field=name,
                todo="Make it shorter, then save it again.",
            )
        found[name] = value.strip()
    return found


def label_of(head: str, name: str) -> str:
    """A field in words."""
    return FIELDS[head][name][0]
