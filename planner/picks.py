"""Models that a wish may name: one of the catalogue, or any of a kind that fits."""

from collections.abc import Iterator

from django.http import HttpRequest

from shopapp.catalog.models import EquipmentModel, Kind
from shopapp.ui.pick import Option, register_pick

ANY = "any:"
OR = "|"
WISHABLE = [(value, label) for value, label in Kind.choices if value != Kind.SWITCH]
FETCHED = 20


def any_label(kind: str) -> str:
    """The words for "any that fits" of a kind; "" for a kind that no wish may name."""
    label = dict(WISHABLE).get(kind)
    return f"Any {label.lower()} that fits" if label else ""


def pick_wished(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """ "Any display that fits" and the like, then models that can be bought."""
    for kind, _ in WISHABLE:
        label = any_label(kind)
        if all(word.lower() in label.lower() for word in words):
            yield f"{ANY}{kind}", label, "the planner chooses"
    rows = _models(request).current().filter(part__price_cents__isnull=False)
    for row in rows.matching(" ".join(words))[:FETCHED]:
        yield row.code, row.name, f"{row.family.maker} · {row.get_kind_display()}"


def label_of(request: HttpRequest, value: str) -> str:
    """The label of a chosen value; "" where the shop has no such model.

    A kept wish may name several models: their codes are joined by a bar.
    """
    if value.startswith(ANY):
        return any_label(value.removeprefix(ANY))
    codes = value.split(OR)
    names = dict(_models(request).filter(code__in=codes).values_list("code", "name"))
    return " or ".join(names[code] for code in codes) if len(names) == len(codes) else ""


def _models(request: HttpRequest) -> "EquipmentModel.objects":
    return (
        EquipmentModel.objects.of(request.user.shop_id)
        .exclude(kind=Kind.SWITCH)
        .select_related("family__maker")
    )


register_pick("wished-models", "plans.make", pick_wished, label_of)
