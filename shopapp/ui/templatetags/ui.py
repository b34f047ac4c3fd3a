"""Tags and filters of the shop's pages; every template has them without a load.

What nobody knows is shown as the words "not known", never as a zero or a blank.
"""

from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal

from django import template
from django.forms import BaseForm, BoundField
from django.template.loader import render_to_string
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.html import format_html

from shopapp import money as moneys
from shopapp.roles import may as role_may
from shopapp.ui.lists import ListPage

register = template.Library()

NOT_KNOWN = "not known"
METRES_PER_FOOT = Decimal("0.3048")
TONES = {"good", "look", "stop", "unknown", "quiet", "live"}
ROOMS = [
    ("quotes", "Quotes", "jobs:quotes", "quotes.see"),
    ("jobs", "Jobs", "jobs:jobs", "jobs.see"),
    ("boats", "Boats", "boats:boats", "boats.see"),
    ("parts", "Parts", "stock:parts", "parts.see"),
    ("fleet", "Fleet", "insights:fleet", "fleet.see"),
]
MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def _one_place(number: Decimal) -> str:
    text = f"{number.quantize(Decimal('0.1'), rounding=ROUND_HALF_UP):,}"
    return text.removesuffix(".0")


def _blank(value: object) -> bool:
    return value is None or value == ""


@register.filter(name="money")
def money_filter(cents: int | None, currency: str = "USD") -> str:
    """Whole cents as `$1,234.56`; `currency` is a three-letter code."""
    return NOT_KNOWN if _blank(cents) else moneys.show(int(cents), currency)


@register.simple_tag(name="money", takes_context=True)
def money_tag(context: template.Context, cents: int | None, currency: str = "") -> str:
    """Whole cents in the currency given, else in the shop's own."""
    shop = context.get("shop")
    return money_filter(cents, currency or getattr(shop, "currency", "USD"))


@register.filter
def feet(length_ft: float | Decimal | None) -> str:
    """A length in feet as `14 ft (4.3 m)`."""
    if _blank(length_ft):
        return NOT_KNOWN
    number = Decimal(str(length_ft))
    return f"{_one_place(number)} ft ({_one_place(number * METRES_PER_FOOT)} m)"


@register.filter
def metres(length_m: float | Decimal | None) -> str:
    """A length in metres, feet first as everywhere: `14.1 ft (4.3 m)`."""
    if _blank(length_m):
        return NOT_KNOWN
    number = Decimal(str(length_m))
    return f"{_one_place(number / METRES_PER_FOOT)} ft ({_one_place(number)} m)"


@register.filter
def day(value: date | datetime | None) -> str:
    """A date as `25 Nov 2026`; a time is first moved to the shop's zone."""
    if _blank(value):
        return NOT_KNOWN
    if isinstance(value, datetime) and timezone.is_aware(value):
        value = timezone.localtime(value)
    return f"{value.day} {MONTHS[value.month - 1]} {value.year}"


@register.filter
def moment(value: datetime | None) -> str:
    """A time as `25 Nov 2026, 14:05`, in the shop's zone."""
    if _blank(value):
        return NOT_KNOWN
    local = timezone.localtime(value) if timezone.is_aware(value) else value
    return f"{day(local)}, {local:%H:%M}"


@register.filter
def hours(minutes: int | None) -> str:
    """Minutes as `3 h 30 min`, `45 min` or `2 h`."""
    if _blank(minutes):
        return NOT_KNOWN
    whole, rest = divmod(int(minutes), 60)
    parts = [f"{whole} h"] if whole else []
    if rest or not whole:
        parts.append(f"{rest} min")
    return " ".join(parts)


@register.filter
def span(length: timedelta) -> str:
    """A span of time as `1 h`, in whole minutes."""
    return hours(int(length.total_seconds()) // 60)


@register.filter
def amps(current_ma: int | None) -> str:
    """Milliamperes as `2.5 A`, with up to three places and no idle zeros."""
    if _blank(current_ma):
        return NOT_KNOWN
    text = f"{Decimal(int(current_ma)) / 1000:,.3f}".rstrip("0").rstrip(".")
    return f"{text} A"


BROWSERS = [("Firefox", "Firefox"), ("Edg", "Edge"), ("Chrome", "Chrome"), ("Safari", "Safari")]
DEVICES = [("iPad", "iPad"), ("iPhone", "iPhone"), ("Android", "Android"), ("Windows", "Windows"),
           ("Mac", "Mac"), ("Linux", "Linux")]  # fmt: skip


@register.filter
def browser(agent: str) -> str:
    """A browser's own long line in a few words, `Firefox on Windows`."""
    name = next((word for sign, word in BROWSERS if sign in agent), "Browser not known")
    device = next((word for sign, word in DEVICES if sign in agent), "")
    return f"{name} on {device}" if device else name


@register.simple_tag
def badge(tone: str, text: object) -> str:
    """A word with a shape and a tone: good, look, stop, unknown, quiet or live.

    An unlisted tone is an error, so that nothing turns green by a slip.
    """
    if tone not in TONES:
        raise template.TemplateSyntaxError(f"badge: no tone {tone!r}; one of {sorted(TONES)}")
    return format_html('<span class="badge {}">{}</span>', tone, text)


@register.simple_tag(takes_context=True)
def may(context: template.Context, action: str) -> bool:
    """Whether the person at the screen may do it: `{% may "boats.edit" as ok %}`."""
    return role_may(context.get("user"), action)


@register.simple_tag
def room_url(name: str, *args: object, **kwargs: object) -> str:
    """The address of a page, `#` where that room is not open yet."""
    try:
        return reverse(name, args=args, kwargs=kwargs)
    except NoReverseMatch:
        return "#"


@register.simple_block_tag(takes_context=True)
def rooms(context: template.Context, content: str) -> str:
    """The bar of rooms that this person may enter; its content names the one we are in."""
    here = content.strip()
    open_rooms = [
        {"label": label, "url": url, "here": name == here}
        for name, label, url, action in ROOMS
        if role_may(context.get("user"), action)
    ]
    return render_to_string("ui/_rooms.html", {"rooms": open_rooms})


@register.simple_tag(takes_context=True)
def query_with(context: template.Context, **changes: object) -> str:
    """The page's query with these values put in (or taken out, by None or ""); begins with `?`."""
    query = context["request"].GET.copy()
    for name, value in changes.items():
        if _blank(value):
            query.pop(name, None)
        else:
            query[name] = str(value)
    return f"?{query.urlencode()}"


@register.simple_tag(takes_context=True)
def pager(context: template.Context, page: ListPage) -> str:
    """Earlier and later pages of a list; nothing where there is only one."""
    if not (page.has_next or page.has_previous):
        return ""
    return render_to_string("ui/_pager.html", {"page": page}, request=context["request"])


@register.simple_block_tag(takes_context=True)
def list_head(
    context: template.Context, content: str, page: ListPage, label: str = "Find", hint: str = ""
) -> str:
    """The head of a list: words to search (`q`), the filters given as content, one button."""
    facts = {"page": page, "label": label, "hint": hint, "filters": content}
    return render_to_string("ui/_list.html", facts, request=context["request"])


@register.simple_tag
def empty(title: str, text: str = "", url: str = "", label: str = "") -> str:
    """What stands on an empty page: what belongs there and how to begin.

    Within a for loop it may stand only behind the loop's own bare `{% empty %}`.
    """
    facts = {"title": title, "text": text, "url": url, "label": label}
    return render_to_string("ui/_empty.html", facts)


@register.simple_tag
def field(bound: BoundField, label: str = "") -> str:
    """A form's field whole: label, control, help, and the error beside it."""
    kind = getattr(bound.field.widget, "input_type", "")
    facts = {
        "field": bound,
        "label": label or bound.label,
        "tick": kind == "checkbox" and not bound.use_fieldset,
    }
    return render_to_string("ui/_field.html", facts)


@register.simple_tag
def fields(form: BaseForm) -> str:
    """All fields of a form, hidden ones first."""
    return render_to_string("ui/_fields.html", {"form": form})


@register.simple_tag
def form_errors(form: BaseForm) -> str:
    """The box of a form's own errors; it takes the focus when it is there."""
    return render_to_string("ui/_form_errors.html", {"form": form})
