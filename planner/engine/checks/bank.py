"""A battery bank: what hangs on its fuse block and cut-off, and how long it stands idle."""

from collections.abc import Iterator
from dataclasses import replace

from planner.engine.checks.facts import LEAD_ACID, BankFacts, CheckFacts, FeedFacts, Rules
from planner.engine.checks.finding import (
    COMMON_PRACTICE,
    GOOD,
    LOOK,
    STOP,
    UNKNOWN,
    Change,
    Finding,
    Measurement,
    Need,
    Remedy,
    figure,
    left_words,
)
from planner.engine.sums.feeding import FULL, HOLDER_FORMULA, HOLDER_SOURCE, judge_holder
from planner.engine.sums.standby import LOOK_DAYS, STOP_DAYS, find_standby_days

BLOCKS_A, CUTOFFS_A = (30, 60, 100, 150, 200), (50, 100, 150, 200, 300, 600)
HOLDERS = (
    ("block", "block_a", "Fuse block", "fuse block", BLOCKS_A, "T19"),
    ("cutoff", "cutoff_a", "Cut-off switch", "cut-off switch", CUTOFFS_A, "T18"),
)
"""Use, field, title, words, ratings commonly sold (from memory), and the task that fits one."""
USABLE = {"lithium": 80.0}
LEAD_USABLE = 50.0


def check_sources(facts: CheckFacts) -> Iterator[Finding]:
    """One finding for each feed of which nobody noted the bank."""
    for feed in facts.feeds:
        if feed.bank is None and feed.draw_a > 0:
            what = f"Which bank feeds {feed.label}"
            missing = Measurement(f"bank:{feed.key}", what, "units", feed.place)
            yield Finding(
                kind="source", title="Source of the feed", state=UNKNOWN, about=feed.key,
                label=feed.label, place=feed.place, measures=(missing,),
                words=f"What feeds {feed.label} is not noted: no bank can be summed up with it.",
            )  # fmt: skip


def check_blocks(facts: CheckFacts) -> Iterator[Finding]:
    """Two findings a bank: its fuse block and its cut-off against all that hangs on them."""
    for bank in facts.banks:
        fed = [feed for feed in facts.feeds if feed.bank == bank.key]
        if fed:
            for holder in HOLDERS:
                yield _holder(facts, bank, fed, holder)


def check_standby(facts: CheckFacts) -> Iterator[Finding]:
    """One finding a bank: the days until it is flat while nobody is aboard."""
    for bank in facts.banks:
        fed = [feed for feed in facts.feeds if feed.bank == bank.key]
        if fed:
            yield _standby(bank, fed, facts.rules)


def _holder(
    facts: CheckFacts, bank: BankFacts, fed: list[FeedFacts], holder: tuple
) -> Finding:  # fmt: skip
    use, name, title, words, *_ = holder
    total = sum(feed.draw_a for feed in fed)
    rating = getattr(bank, name)
    base = Finding(
        kind=use, title=title, state=UNKNOWN, about=bank.key, label=bank.label, place=bank.place,
        words="", formula=HOLDER_FORMULA, source=HOLDER_SOURCE,
        inputs={"units": len(fed), "amps": round(total, 3), "rating_a": rating},
        result=f"{figure(total)} A of {figure(rating) if rating else 'not known'} A",
    )  # fmt: skip
    if rating is None:
        missing = Measurement(
            f"{use}:{bank.key}", f"Rating marked on the {words} of the {bank.label} bank", "banks",
            bank.place,
        )  # fmt: skip
        said = f"{figure(total)} A hang on the {bank.label} bank; its {words} is not noted."
        return replace(base, words=said, measures=(missing,))
    said = f"{figure(total)} A hang on the {words} of the {bank.label} bank, rated {figure(rating)}"
    return _loaded(replace(base, words=f"{said} A."), facts, bank, holder, total)


def _loaded(
    base: Finding, facts: CheckFacts, bank: BankFacts, holder: tuple, total: float
) -> Finding:
    rating = getattr(bank, holder[1])
    base = replace(base, margin=left_words(rating - total, "A"))
    state = judge_holder(total, rating)
    if state != GOOD:
        return replace(base, state=state, remedies=_larger(bank, facts.rules, holder, total))
    loose = [feed for feed in facts.feeds if feed.bank is None and feed.draw_a > 0]
    if judge_holder(total + sum(feed.draw_a for feed in loose), rating) != GOOD:
        missing = [
            Measurement(f"bank:{feed.key}", f"Which bank feeds {feed.label}", "units", feed.place)
            for feed in loose
        ]
        said = f"{base.words} With {len(loose)} more whose bank is not noted it may be too much."
        return replace(base, state=UNKNOWN, words=said, measures=tuple(missing))
    return replace(base, state=GOOD)


def _larger(bank: BankFacts, rules: Rules, holder: tuple, total: float) -> tuple[Remedy, ...]:
    use, name, _, words, sold, task = holder
    rating = next((amps for amps in sold if total <= amps * FULL), None)
    if rating is None:
        return ()
    return (
        Remedy(
            key=f"{use}:{bank.key}",
            words=f"Fit a {words} of {rating} A for the {bank.label} bank.",
            minutes=rules.minutes_of(task),
            changes=(Change("banks", bank.key, ((name, float(rating)),)),),
            needs=(Need(use, str(rating), 1, f"for {figure(total)} A"),),
        ),
    )


def _standby(bank: BankFacts, fed: list[FeedFacts], rules: Rules) -> Finding:
    usable = USABLE.get(bank.chemistry, LEAD_USABLE)
    drawing = [feed for feed in fed if feed.has_cutoff is not True]
    sure = [feed for feed in drawing if feed.has_cutoff is False]
    least = sum(feed.standby_ma or 0 for feed in sure)
    most = sum(feed.standby_ma or 0 for feed in drawing)
    base = Finding(
        kind="standby", title="Days to flat", state=UNKNOWN, about=bank.key, label=bank.label,
        place=bank.place, words="", formula="days = Ah × usable / (standby draw in A × 24)",
        source=f"derived; usable part and limits of {STOP_DAYS} and {LOOK_DAYS} days: "
        f"{COMMON_PRACTICE}",
        inputs={"bank_ah": bank.capacity_ah, "usable_percent": usable, "draw_ma": most},
        notes=("Lead-acid loses 3 to 5 % a month by itself (from memory), not counted here.",),
    )  # fmt: skip
    missing = _missing_of_standby(bank, drawing, most)
    low = _days(bank, usable, most)
    if bank.capacity_ah is None or _is_open(missing, drawing, low):
        worst = _days(bank, usable, least)
        if worst is not None and worst < STOP_DAYS:
            return _flat(base, bank, drawing, rules, worst)
        said = f"How long the {bank.label} bank stands idle is not known."
        return replace(base, words=said, measures=tuple(missing))
    return _flat(base, bank, drawing, rules, low)


def _is_open(missing: list[Measurement], drawing: list[FeedFacts], days: float | None) -> bool:
    """What is missing matters where a draw is not known, or where the cut-off would decide."""
    if any(feed.standby_ma is None for feed in drawing):
        return True
    return bool(missing) and days is not None and days < LOOK_DAYS


def _missing_of_standby(
    bank: BankFacts, drawing: list[FeedFacts], most: float
) -> list[Measurement]:
    found = []
    if bank.capacity_ah is None and (most or any(feed.standby_ma is None for feed in drawing)):
        what = f"Ah printed on the {bank.label} bank"
        found.append(Measurement(f"capacity:{bank.key}", what, "banks", bank.place))
    for feed in drawing:
        if feed.has_cutoff is None and feed.standby_ma != 0:
            what = f"Whether a cut-off switch takes {feed.label} off its bank"
            found.append(Measurement(f"cutoff:{feed.key}", what, "units", feed.place))
        if feed.standby_ma is None:
            what = f"Draw of {feed.label} when it is switched off (mA)"
            found.append(Measurement(f"standby:{feed.key}", what, "catalogue"))
    return found


def _days(bank: BankFacts, usable: float, draw_ma: float) -> float | None:
    if not draw_ma or not bank.capacity_ah:
        return None
    sums = find_standby_days(draw_ma=draw_ma, bank_ah=bank.capacity_ah, usable_percent=usable)
    return sums.values["days"]


def _flat(
    base: Finding, bank: BankFacts, drawing: list[FeedFacts], rules: Rules, days: float | None
) -> Finding:
    if days is None:
        said = f"Nothing noted draws on the {bank.label} bank while the units are off."
        return replace(base, state=GOOD, words=said, result="no standby draw")
    state = STOP if days < STOP_DAYS else LOOK if days < LOOK_DAYS else GOOD
    said = f"The {bank.label} bank stands {figure(days, 0)} days under what draws on it all the "
    said += "time." if bank.chemistry in LEAD_ACID | {"lithium"} else "time, taken as lead-acid."
    remedy = _cut_off(bank, drawing, rules)
    return replace(
        base, state=state, words=said, result=f"{figure(days, 0)} days",
        margin=left_words(days - STOP_DAYS, f"days to the {STOP_DAYS}", 0),
        remedies=(remedy,) if state != GOOD else (),
    )  # fmt: skip


def _cut_off(bank: BankFacts, drawing: list[FeedFacts], rules: Rules) -> Remedy:
    amps = sum(feed.draw_a for feed in drawing)
    rating = next((a for a in CUTOFFS_A if amps <= a * FULL), CUTOFFS_A[-1])
    names = ", ".join(feed.label for feed in drawing)
    return Remedy(
        key=f"standby:{bank.key}",
        words=f"Fit a cut-off switch for the electronics on the {bank.label} bank ({names}).",
        minutes=rules.minutes_of("T18"),
        changes=tuple(Change("feeds", feed.key, (("has_cutoff", True),)) for feed in drawing),
        needs=(Need("cutoff", str(rating), 1, f"for {figure(amps)} A"),),
    )
