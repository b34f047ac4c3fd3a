"""What differs between two revisions of a quote: line by line, and in words.

Pure over rows that are read already. Options are paired by what their plans do, lines by part,
task or words; what has no partner was added or left.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from shopapp.jobs.models import Quote, QuoteLine, QuoteOption
from shopapp.money import show

JsonDict = dict[str, Any]


@dataclass(frozen=True)
class LineChange:
    """One line: `what` became of it ("added", "gone", "changed"), both rows, and the words."""

    what: str
    before: QuoteLine | None
    after: QuoteLine | None
    words: str


@dataclass(frozen=True)
class OptionChange:
    """One option before and after; None on the side where there is none."""

    before: QuoteOption | None
    after: QuoteOption | None
    lines: list[LineChange] = field(default_factory=list)
    words: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Changes:
    """All that differs: words of the quote as a whole, then the options."""

    words: list[str]
    options: list[OptionChange]

    @property
    def anything(self) -> bool:
        """Whether anything differs."""
        return bool(self.words) or any(one.words or one.lines for one in self.options)

    @property
    def told(self) -> list[str]:
        """Every sentence, those of the options too."""
        return [*self.words, *(words for one in self.options for words in one.words)]


def changes_between(before: Quote, after: Quote, *, offered_only: bool = False) -> Changes:
    """What differs; `offered_only` for the customer, who saw only what was offered."""
    one, other = (_options(quote, offered_only) for quote in (before, after))
    pairs = _paired(one, other)
    options = [_option_change(left, right, after.currency) for left, right in pairs]
    return Changes(list(_of_quote(before, after)), options)


def _options(quote: Quote, offered_only: bool) -> list[QuoteOption]:
    return [one for one in quote.options.all() if one.offered or not offered_only]


def _paired(
    before: list[QuoteOption], after: list[QuoteOption]
) -> list[tuple[QuoteOption | None, QuoteOption | None]]:
    left = {_doing(one): one for one in reversed(before)}
    pairs = [(left.pop(_doing(one), None), one) for one in after]
    # What does the same under another name or place is found by its place in the line last.
    spare = {one.position: one for one in left.values()}
    pairs = [(mate or _like(one, spare), one) for mate, one in pairs]
    return [*pairs, *((one, None) for one in spare.values())]


def _doing(option: QuoteOption) -> str:
    # What told two options of one name apart, in brackets at the end, may differ each time.
    return option.title.rpartition(" (")[0].casefold() or option.title.casefold()


def _like(option: QuoteOption, spare: dict[int, QuoteOption]) -> QuoteOption | None:
    mate = spare.get(option.position)
    if mate is None or _acts(mate.plan) != _acts(option.plan):
        return None
    return spare.pop(option.position)


def _acts(plan: JsonDict) -> list[tuple[str, str, str]]:
    return sorted((unit["fate"], unit["model"], unit["location"]) for unit in plan["units"])


def _option_change(
    before: QuoteOption | None, after: QuoteOption | None, currency: str
) -> OptionChange:
    if before is None:
        total = show(after.total_cents, currency)
        words = [f"New: option {after.position}, “{after.title}”, {total}."]
        return OptionChange(None, after, [], words)
    if after is None:
        return OptionChange(before, None, [], [f"No longer offered: “{before.title}”."])
    lines = list(_line_changes(before.lines.all(), after.lines.all(), currency))
    words = list(_of_option(before, after, currency))
    return OptionChange(before, after, lines, words)


def _of_option(before: QuoteOption, after: QuoteOption, currency: str) -> Iterator[str]:
    name = f"Option {after.position}"
    if before.position != after.position:
        yield f"{name} was option {before.position} before."
    if before.title != after.title:
        yield f"{name} is now called “{after.title}”."
    if before.offered != after.offered:
        yield f"{name} is {'offered now' if after.offered else 'no longer offered'}."
    more = after.total_cents - before.total_cents
    if more:
        word = "more" if more > 0 else "less"
        sums = f"{show(before.total_cents, currency)} before, {show(after.total_cents, currency)}"
        yield f"{name} costs {show(abs(more), currency)} {word}: {sums} now."
    if after.minutes != before.minutes:
        more = after.minutes - before.minutes
        yield f"{name} takes {abs(more)} minutes {'more' if more > 0 else 'less'} of work."
    if after.deposit_cents != before.deposit_cents:
        yield f"{name}: the deposit is {show(after.deposit_cents, currency)} now."


def _key(line: QuoteLine) -> tuple[str, object]:
    if line.part_id:
        return line.kind, line.part_id
    return line.kind, line.task_id or line.description.casefold()


def _line_changes(
    before: Iterable[QuoteLine], after: Iterable[QuoteLine], currency: str
) -> Iterator[LineChange]:
    left: dict[tuple[str, object], list[QuoteLine]] = {}
    for line in before:
        left.setdefault(_key(line), []).append(line)
    for line in after:
        mates = left.get(_key(line), [])
        if not mates:
            sum_ = show(line.total_cents, currency)
            yield LineChange("added", None, line, f"Added: {line.description}, {sum_}.")
            continue
        mate = mates.pop(0)
        words = ", ".join(_of_line(mate, line, currency))
        if words:
            yield LineChange("changed", mate, line, f"{line.description}: {words}.")
    for mates in left.values():
        for line in mates:
            words = f"Taken off: {line.description}, {show(line.total_cents, currency)}."
            yield LineChange("gone", line, None, words)


def _of_line(before: QuoteLine, after: QuoteLine, currency: str) -> Iterator[str]:
    if before.description != after.description:
        yield f"was called “{before.description}”"
    if before.left_out != after.left_out:
        yield "left out now" if after.left_out else "put back"
    if before.quantity != after.quantity:
        yield f"{before.quantity} before, {after.quantity} now"
    if before.minutes != after.minutes:
        yield f"{before.minutes} min before, {after.minutes} min now"
    if before.unit_cents != after.unit_cents:
        prices = (show(one.unit_cents, currency) for one in (before, after))
        yield "price {} before, {} now".format(*prices)
    if before.discount_percent != after.discount_percent:
        percents = (f"{one.discount_percent.normalize():f}" for one in (before, after))
        yield "discount {} % before, {} % now".format(*percents)
    charged = not (before.left_out or after.left_out)
    if charged and before.total_cents != after.total_cents:
        yield f"{show(after.total_cents, currency)} in all"


def _of_quote(before: Quote, after: Quote) -> Iterator[str]:
    if before.title != after.title:
        yield f"The wish is now “{after.title}”."
    if before.valid_until != after.valid_until:
        yield f"It holds until {after.valid_until.day} {after.valid_until:%b %Y} now."
    if before.deposit_percent != after.deposit_percent:
        yield f"The deposit is {after.deposit_percent} % now, {before.deposit_percent} % before."
    if before.labour_cents_per_hour != after.labour_cents_per_hour:
        rate = show(after.labour_cents_per_hour, after.currency)
        yield f"An hour of labour costs {rate} now."
    if before.taxes != after.taxes:
        yield "The tax rates are those of today."
    if before.terms != after.terms:
        yield "The terms are worded anew."
    if before.not_included != after.not_included:
        yield "What is not included is worded anew."
    yield from _of_assumptions(before, after)


def _of_assumptions(before: Quote, after: Quote) -> Iterator[str]:
    old = {row.key: row for row in before.assumptions.all()}
    new = {row.key: row for row in after.assumptions.all()}
    for key, row in new.items():
        if key not in old:
            yield f"New assumption A{row.number}: {row.text}"
    for key, row in old.items():
        if key not in new:
            yield f"No longer assumed: {row.text}"
