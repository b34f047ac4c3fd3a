"""Forms of the desk: one look, errors beside their field, focus where help is needed."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ImproperlyConfigured, ValidationError
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.safestring import SafeString

from shopapp.errors import FactRefused
from shopapp.money import round_cents
from shopapp.ui.pick import Pick, pick_of

PLAIN_WORDS = {"required": "Fill this in.", "invalid_choice": "Pick one from the list."}
PICK_ONE = "Pick one from the list: type a few letters, then choose with the arrow keys."


class DayInput(forms.DateInput):
    """A date by the browser's own calendar."""

    input_type = "date"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%d")


class MomentInput(forms.DateTimeInput):
    """A date and a time by the browser's own calendar, in the shop's zone."""

    input_type = "datetime-local"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%dT%H:%M")


class FigureInput(forms.TextInput):
    """A figure by the number keypad; no wheel or arrow changes it by accident."""


class CentsField(forms.Field):
    """Money typed as `1,234.56`, kept as whole cents (int); None when left empty."""

    widget = FigureInput
    default_error_messages = {
        "figure": "Write an amount like 1234.56.",
        "places": "Write at most two places behind the point.",
        "low": "This amount cannot be below zero.",
        "high": "This amount is too large.",
    }

    def __init__(self, *, below_zero: bool = False, **kwargs: Any) -> None:
        self.below_zero = below_zero
        super().__init__(**kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """The keypad with a decimal point."""
        return {"inputmode": "decimal", "class": "figure", "autocomplete": "off"}

    def prepare_value(self, value: Any) -> Any:
        """Cents as an amount; what was typed stays as typed."""
        if isinstance(value, int):
            sign = "-" if value < 0 else ""
            return f"{sign}{abs(value) // 100}.{abs(value) % 100:02d}"
        return value

    def to_python(self, value: Any) -> int | None:
        """The text as cents."""
        if isinstance(value, int):
            return value
        text = str(value or "").replace(",", "").strip().lstrip("$€£").strip()
        return _cents(text, self) if text else None

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare amounts, not the way in which they are written."""
        try:
            return self.to_python(initial) != self.to_python(data)
        except ValidationError:
            return True


def _cents(text: str, field: CentsField) -> int:
    digits = text.removeprefix("-").replace(".", "", 1)
    if not (digits.isascii() and digits.isdigit()):
        raise ValidationError(field.error_messages["figure"], code="figure")
    amount = Decimal(text)
    if -amount.as_tuple().exponent > 2:
        raise ValidationError(field.error_messages["places"], code="places")
    if amount < 0 and not field.below_zero:
        raise ValidationError(field.error_messages["low"], code="low")
    if abs(amount) > 20_000_000:
        raise ValidationError(field.error_messages["high"], code="high")
    return round_cents(amount * 100)


class PickWidget(forms.Widget):
    """A type-ahead combobox; the chosen value travels in a hidden field beside the text."""

    template_name = "ui/_pick.html"

    def __init__(self, kind: str, *, free: bool = False, attrs: dict | None = None) -> None:
        super().__init__(attrs)
        self.kind = kind
        self.free = free
        self.request: HttpRequest | None = None

    def label_for(self, value: Any) -> str:
        """The label that stands in the box for a value."""
        if value in {None, ""}:
            return ""
        pick = _pick(self.kind)
        if self.free:
            return str(value)
        return _label(pick, _asked(self.request, self.kind), str(value))

    def get_context(self, name: str, value: Any, attrs: dict | None) -> dict[str, Any]:
        """Facts for the template: name, value, the text shown, the list's address."""
        context = super().get_context(name, value, attrs)
        text = self.label_for(value)
        if isinstance(value, TypedText):
            text, context["widget"]["value"] = value, ""
        context["widget"] |= {
            "text": text,
            "free": self.free,
            "url": reverse("ui:pick", args=[self.kind]),
        }
        return context

    def _render(self, template_name: str, context: dict, renderer: Any = None) -> SafeString:
        # The project's own templates, not the form renderer's, hold this widget.
        return render_to_string(template_name, context)

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        """The value chosen, or what was typed without choosing."""
        if self.free:
            return data.get(name)
        value = data.get(name)
        return value or TypedText(data.get(f"{name}-typed") or "") or None

    def value_omitted_from_data(self, data: Any, files: Any, name: str) -> bool:
        """Omitted when neither the value nor the typed text is there."""
        return name not in data and f"{name}-typed" not in data

    def id_for_label(self, id_: str, index: str | None = None) -> str:
        """The label names the text box."""
        return id_


class TypedText(str):
    """Words typed into a combobox without choosing an option."""

    __slots__ = ()


class PickField(forms.Field):
    """One row picked by type-ahead; see `register_pick` for the kinds.

    The cleaned value is the row (where the kind has a `row_of`), else the
    value's text; with `free=True` it is the text typed. The form needs its
    `request`. Words that match exactly one option are taken as that option, so
    that the field works without scripts.
    """

    def __init__(self, kind: str, *, free: bool = False, **kwargs: Any) -> None:
        self.kind = kind
        self.free = free
        kwargs.setdefault("widget", PickWidget(kind, free=free))
        super().__init__(**kwargs)

    def prepare_value(self, value: Any) -> Any:
        """A row becomes its number."""
        return getattr(value, "pk", value)

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare the values as text."""
        return str(self.prepare_value(initial) or "") != str(data or "")

    def clean(self, value: Any) -> Any:
        """The row or text picked; errors say how to pick."""
        if not value:
            super().validate(value or None)
            return "" if self.free else None
        if self.free:
            return str(value).strip()
        pick = _pick(self.kind)
        request = _asked(self.widget.request, self.kind)
        if isinstance(value, TypedText):
            value = _only_match(pick, request, value)
        return _chosen(pick, request, str(value))


def _label(pick: Pick, request: HttpRequest, value: str) -> str:
    # A sheet of many rows names the same few things over and over: look each up once.
    known = request.__dict__.setdefault("pick_labels", {})
    key = (pick.kind, value)
    if key not in known:
        known[key] = pick.label_of(request, value)
    return known[key]


def _only_match(pick: Pick, request: HttpRequest, text: str) -> str:
    options = pick.options(request, text)
    same = [option for option in options if option[1].casefold() == text.strip().casefold()]
    matches = same or options
    if len(matches) != 1:
        raise ValidationError(PICK_ONE, code="pick")
    return str(matches[0][0])


def _chosen(pick: Pick, request: HttpRequest, value: str) -> Any:
    chosen = pick.row_of(request, value) if pick.row_of else value
    if chosen is None or not (pick.row_of or pick.label_of(request, value)):
        raise ValidationError(f"That one is no longer there. {PICK_ONE}", code="gone")
    return chosen


def _pick(kind: str) -> Pick:
    pick = pick_of(kind)
    if pick is None:
        raise ImproperlyConfigured(f"no pick {kind!r}; register_pick it in the room's ready()")
    return pick


def _asked(request: HttpRequest | None, kind: str) -> HttpRequest:
    if request is None:
        raise ImproperlyConfigured(f"a form with a PickField({kind!r}) needs request=request")
    return request


class DeskLook:
    """What all forms of the desk share; give `request=` where a field asks for it."""

    label_suffix_text = ""

    def __init__(self, *args: Any, request: HttpRequest | None = None, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", self.label_suffix_text)
        super().__init__(*args, **kwargs)
        self.request = request
        for field in self.fields.values():
            dress(field, request)

    def full_clean(self) -> None:
        """Check all, then let the first field with an error take the focus."""
        super().full_clean()
        if not self.is_bound or self.non_field_errors():
            return
        for name in self.errors:
            if name in self.fields and not self[name].is_hidden:
                self.fields[name].widget.attrs["autofocus"] = True
                return

    def refuse(self, error: FactRefused) -> None:
        """Put a refused fact beside its field, or over the form; nothing typed is lost."""
        words = f"{error.message} {error.todo}".strip()
        self.add_error(error.field if error.field in self.fields else None, words)


def dress(field: forms.Field, request: HttpRequest | None) -> None:
    """Give a field its fitting control, and its errors the trade's plain words."""
    for code, words in PLAIN_WORDS.items():
        if field.error_messages.get(code) == _stock_words(field, code):
            field.error_messages[code] = words
    widget = field.widget
    if isinstance(widget, PickWidget):
        widget.request = request
    elif type(widget) is forms.DateInput:
        _swap(field, DayInput())
    elif type(widget) is forms.DateTimeInput:
        _swap(field, MomentInput())
    elif type(widget) is forms.NumberInput:
        whole = isinstance(field, forms.IntegerField) and not isinstance(
            field, forms.DecimalField | forms.FloatField
        )
        mode = "numeric" if whole else "decimal"
        _swap(field, FigureInput({"inputmode": mode, "class": "figure", "autocomplete": "off"}))
    elif isinstance(widget, forms.Textarea) and widget.attrs.get("rows") == "10":
        widget.attrs["rows"] = "4"


def _stock_words(field: forms.Field, code: str) -> str:
    for kind in type(field).__mro__:
        words = vars(kind).get("default_error_messages", {}).get(code)
        if words:
            return words if kind.__module__.startswith("django.") else ""
    return ""


def _swap(field: forms.Field, fresh: forms.Widget) -> None:
    kept = {name: value for name, value in field.widget.attrs.items() if name not in {"min", "max"}}
    kept.pop("step", None)
    fresh.attrs = {**fresh.attrs, **kept}
    fresh.is_required = field.required
    field.widget = fresh


class DeskForm(DeskLook, forms.Form):
    """A form of the desk."""


class DeskModelForm(DeskLook, forms.ModelForm):
    """A form of the desk over one row."""
