"""Merge what a tablet sends into what stands, field by field. Pure.

Each field comes with the value that the tablet had last seen (`base`). Where that still stands,
or the same tablet wrote what stands, the new value is taken. Where somebody else wrote another
value meanwhile, both are kept and a person decides.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Standing:
    """A field's value as it stands; `tablet` and `seq` of the entry that wrote it, if one did."""

    value: str = ""
    tablet: int | None = None
    seq: int = 0


@dataclass
class Merged:
    """What came of a merge: values to write, names that differ, names that were overtaken."""

    taken: dict[str, str] = field(default_factory=dict)
    same: list[str] = field(default_factory=list)
    clashing: dict[str, str] = field(default_factory=dict)
    overtaken: list[str] = field(default_factory=list)


def merge(
    standing: Mapping[str, Standing],
    base: Mapping[str, str],
    fields: Mapping[str, str],
    *,
    tablet: int,
    seq: int,
) -> Merged:
    """Merge `fields` of one entry; `base` are the values its tablet had seen."""
    found = Merged()
    for name, value in fields.items():
        now = standing.get(name, Standing())
        if now.tablet == tablet and now.seq > seq:
            found.overtaken.append(name)
        elif now.value == value:
            found.same.append(name)
        elif now.value == base.get(name, "") or now.tablet == tablet:
            found.taken[name] = value
        else:
            found.clashing[name] = value
    return found
