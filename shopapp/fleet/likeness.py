"""How much a note looks like a known problem, and why; pure.

Points add up to 100: what was seen 25, the model 22, its counterpart 13, release 8, switch 5,
shape of the network 4, the step 3, the words 20. A proven cause outranks what was seen: equal
causes add 15, different ones take 40 away (common practice, no source: split where causes
differ, merge where they are shown to be equal). Every point has its reason in words.
"""

import math
import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

PROPOSE_FROM = 45
LESS_THAN_HALF = 0.5
MOST_TOKENS = 60
WORD = re.compile(r"[a-z0-9]+(?:\.[0-9]+)?")
STOP = frozenset(
    WORD.findall(
        "a an and are as at be but by came can comes did do does for from get gets got had has"
        " have he her his in into is it its no not of off on one only or other others out over"
        " owner s says she so some still than that the their them then there they this to too"
        " two until up was were when while with without after before again all"
    )
)
# Words of the dock for the same thing (common practice, no source).
SAME = {
    "restart": "reboot",
    "reset": "reboot",
    "screen": "display",
    "plotter": "display",
    "vanish": "drop",
    "disappear": "drop",
    "lose": "drop",
    "lost": "drop",
    "gone": "drop",
    "missing": "drop",
    "frozen": "freeze",
    "hang": "freeze",
    "picture": "image",
    "cable": "lead",
    "network": "net",
    "ethernet": "net",
}
ENDINGS = ("ing", "ed", "es", "s")


def tokens_of(text: str) -> list[str]:
    """The words that carry meaning, cut to their stem, the trade's synonyms made one."""
    found = []
    for word in WORD.findall(text.lower()):
        if word not in STOP and len(word) > 1:
            found.append(_stem(word))
    return found


def _stem(word: str) -> str:
    if word in SAME:
        return SAME[word]
    for ending in ENDINGS:
        cut = word.removesuffix(ending)
        if cut != word and len(cut) > 3:
            return SAME.get(cut, cut)
    return word


@dataclass(frozen=True)
class Note:
    """What a note says, as plain values; None where it is not known."""

    symptom: str
    words: str
    model: int | None = None
    family: int | None = None
    release: int | None = None
    counterpart: int | None = None
    switch: int | None = None
    shape: str = ""
    step: str = ""
    cause: str = ""


@dataclass
class Profile:
    """Counts over the notes of a known problem: how often each value was met."""

    notes: int = 0
    tokens: Counter = field(default_factory=Counter)
    causes: Counter = field(default_factory=Counter)
    values: dict[str, Counter] = field(default_factory=dict)

    FACTS = ("symptom", "model", "family", "release", "counterpart", "switch", "shape", "step")

    def add(self, note: Note) -> None:
        """Count one note more."""
        self.notes += 1
        self.tokens.update(set(tokens_of(note.words)))
        self.causes.update(set(tokens_of(note.cause)))
        for fact in self.FACTS:
            value = getattr(note, fact)
            self.values.setdefault(fact, Counter())[str(value or "")] += 1

    def share(self, fact: str, value: object) -> float:
        """The share of notes with this value."""
        return self.values.get(fact, Counter())[str(value or "")] / self.notes if self.notes else 0

    def as_json(self) -> dict:
        """As a record keeps it; the commonest words only."""
        return {
            "notes": self.notes,
            "tokens": dict(self.tokens.most_common(MOST_TOKENS)),
            "causes": dict(self.causes.most_common(MOST_TOKENS)),
            "values": {fact: dict(counts) for fact, counts in self.values.items()},
        }

    @classmethod
    def of_json(cls, kept: Mapping) -> "Profile":
        """Back from a record."""
        return cls(
            kept.get("notes", 0),
            Counter(kept.get("tokens", {})),
            Counter(kept.get("causes", {})),
            {fact: Counter(counts) for fact, counts in kept.get("values", {}).items()},
        )


def profile_of(notes: Iterable[Note]) -> Profile:
    """The counts over some notes."""
    profile = Profile()
    for note in notes:
        profile.add(note)
    return profile


@dataclass(frozen=True)
class Likeness:
    """Points of 100, and each reason with its points."""

    points: int
    reasons: tuple[tuple[int, str], ...]

    @property
    def proposed(self) -> bool:
        """Whether it is alike enough to be proposed."""
        return self.points >= PROPOSE_FROM


PLAIN = (
    ("release", 8, "same release"),
    ("switch", 5, "same network switch"),
    ("shape", 4, "network of the same shape"),
    ("step", 3, "found on the same step"),
)


def likeness(note: Note, profile: Profile, rarity: Mapping[str, float]) -> Likeness:
    """How alike; `rarity` weighs each word by how few profiles hold it (see `rarities`)."""
    reasons = [
        (round(25 * profile.share("symptom", note.symptom)), "the same was seen"),
        _model(note, profile),
        _counterpart(note, profile),
        *(
            (round(most * profile.share(fact, getattr(note, fact))), words)
            for fact, most, words in PLAIN
            if getattr(note, fact)
        ),
        _words(note, profile, rarity),
        _cause(note, profile),
    ]
    kept = tuple(sorted(((p, w) for p, w in reasons if p), key=lambda row: -abs(row[0])))
    return Likeness(max(0, min(100, sum(points for points, _ in kept))), kept)


def _model(note: Note, profile: Profile) -> tuple[int, str]:
    if note.model is None:
        return 0, ""
    same = profile.share("model", note.model)
    if same:
        return round(22 * same), "same model"
    return round(10 * profile.share("family", note.family)), "model of the same family"


def _counterpart(note: Note, profile: Profile) -> tuple[int, str]:
    same = profile.share("counterpart", note.counterpart)
    if note.counterpart is None:
        return round(4 * same), "no counterpart named on either"
    return round(13 * same), "same counterpart"


def _words(note: Note, profile: Profile, rarity: Mapping[str, float]) -> tuple[int, str]:
    mine = dict.fromkeys(tokens_of(note.words), 1.0)
    theirs = {word: count / profile.notes for word, count in profile.tokens.items()}
    shared = [word for word in mine if word in theirs]
    points = round(20 * cosine(mine, theirs, rarity))
    shown = sorted(shared, key=lambda word: (-rarity.get(word, 1.0), word))[:4]
    return points, f"words in common: {', '.join(shown)}"


def _cause(note: Note, profile: Profile) -> tuple[int, str]:
    mine = dict.fromkeys(tokens_of(note.cause), 1.0)
    if not mine or not profile.causes:
        return 0, ""
    alike = cosine(mine, profile.causes, {})
    if alike >= LESS_THAN_HALF:
        return 15, "the same cause was proven"
    return -40, "another cause was proven"


def cosine(mine: Mapping[str, float], other: Mapping[str, float], rarity: Mapping) -> float:
    """The cosine of two bags of words under their weights, from 0 to 1."""

    def size(bag: Mapping[str, float]) -> float:
        return math.sqrt(sum((n * rarity.get(word, 1.0)) ** 2 for word, n in bag.items()))

    both = sum(n * other[word] * rarity.get(word, 1.0) ** 2 for word, n in mine.items() if word in
               other)  # fmt: skip
    sizes = size(mine) * size(other)
    return both / sizes if sizes else 0.0


def rarities(profiles: Iterable[Profile]) -> dict[str, float]:
    """Inverse document frequency, smoothed: a word in every profile weighs least (1)."""
    counts: Counter = Counter()
    total = 0
    for profile in profiles:
        total += 1
        counts.update(set(profile.tokens))
    return {word: 1 + math.log((1 + total) / (1 + n)) for word, n in counts.items()}
