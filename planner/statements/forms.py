"""The form of a statement: its facts, and its rule put together without typing code."""

from typing import Any

from django import forms
from django.http import HttpRequest
from django.utils import timezone

from planner.models import Statement
from planner.statements.checks import MOST_UNITS, Fault
from planner.statements.selector_form import SelectorPart
from planner.statements.services import Findings, check_code, check_supersedes, look_into, next_code
from planner.statements.words import tell_rule, verb_of
from shopapp.errors import FactRefused
from shopapp.ui.forms import DeskModelForm, PickField

VERB_CHOICES = [
    ("at_most", "At most so many of these"),
    ("at_least", "At least so many of these"),
    ("only", "Of these, only those"),
    ("same_release", "All of these at the same release"),
    ("before", "These are updated before those"),
]
# Which key of the rule each part of the form fills, by the kind of rule.
SLOTS = {
    "at_most": {"a": "of", "w": "when"},
    "at_least": {"a": "of", "w": "when"},
    "only": {"a": "of", "b": "only", "w": "when"},
    "same_release": {"a": "same_release"},
    "before": {"a": "before", "b": "then"},
}


MEND = "The rule cannot hold as it stands: see the marked places below."


class StatementForm(DeskModelForm):
    """A statement's own facts; `parts` hold its selectors."""

    verb = forms.ChoiceField(label="Kind of rule", choices=VERB_CHOICES)
    count = forms.IntegerField(label="How many", required=False, min_value=0, max_value=MOST_UNITS)
    supersedes = PickField(
        "statements",
        label="Supersedes",
        required=False,
        help_text="The older statement that this one puts out of force.",
    )
    accept = forms.BooleanField(
        label="Keep both in force all the same; plans then meet the stricter", required=False
    )

    class Meta:
        model = Statement
        fields = [
            "code", "text", "source_kind", "source", "page", "seen", "confidence",
            "supersedes", "note",
        ]  # fmt: skip
        labels = {"source_kind": "Who says so", "source": "Title", "seen": "Seen on"}
        help_texts = {
            "text": "As you would say it at the counter; left empty, the rule is spelled out.",
            "source": "The paper's title, or who said it and to whom.",
            "seen": "When it was last read or checked, not when it is typed in.",
            "confidence": "High: the current guide for exactly these, or own success on 3 boats. "
            "Medium: a bulletin for the family, or own success on 1 or 2. Low: all else.",
        }

    SOURCE = ["source_kind", "source", "page", "seen", "confidence"]

    def __init__(self, *args: Any, request: HttpRequest, **kwargs: Any) -> None:
        super().__init__(*args, request=request, **kwargs)
        shop = request.user.shop
        self.instance.shop = shop
        self.fields["text"].required = False
        rule = self.instance.rule or {}
        if not self.instance.code:
            self.initial["code"] = next_code(shop)
        verb = verb_of(rule)
        if verb:
            self.initial |= {"verb": verb, "count": rule.get(verb) if verb[:3] == "at_" else None}
        keys = SLOTS.get(verb, {})
        self.parts = {
            key: SelectorPart(request, key, rule.get(keys.get(key, ""))) for key in ("a", "b", "w")
        }
        self.clashes: list = []

    def source_fields(self) -> list[forms.BoundField]:
        """Where it comes from."""
        return [self[name] for name in self.SOURCE]

    def clean_code(self) -> str:
        """A number of its own, and none that plans use otherwise."""
        code = self.cleaned_data["code"]
        others = Statement.objects.of(self.instance.shop).exclude(pk=self.instance.pk)
        if others.filter(code__iexact=code).exists():
            raise forms.ValidationError("Another statement has this number.")
        try:
            check_code(code)
        except FactRefused as error:
            raise forms.ValidationError(f"{error.message} {error.todo}") from error
        return code

    def clean_supersedes(self) -> Statement | None:
        """One that is in force."""
        old = self.cleaned_data["supersedes"]
        try:
            check_supersedes(statement=self.instance, old=old)
        except FactRefused as error:
            raise forms.ValidationError(f"{error.message} {error.todo}") from error
        return old

    def clean_seen(self) -> Any:
        """Not later than today."""
        seen = self.cleaned_data["seen"]
        if seen > timezone.localdate():
            raise forms.ValidationError("That day is still to come.")
        return seen

    def clean(self) -> dict[str, Any]:
        """Put the rule together and look into it."""
        facts = super().clean()
        verb = facts.get("verb")
        if not verb or not self._is_whole(verb):
            return facts
        facts["rule"] = self._rule(verb, facts.get("count"))
        self.instance.supersedes = facts.get("supersedes")
        self._look_into(facts["rule"], accepted=facts.get("accept", False))
        facts["text"] = facts.get("text") or self._in_words(facts["rule"])
        return facts

    def _is_whole(self, verb: str) -> bool:
        valid = [self.parts[key].is_valid() for key in SLOTS[verb]]
        if not all(valid):
            self.add_error(None, MEND)
        counted = verb in {"at_most", "at_least"}
        if counted and self.cleaned_data.get("count") is None and "count" not in self.errors:
            self.add_error("count", "Write how many.")
        return all(valid) and not (counted and "count" in self.errors)

    def _rule(self, verb: str, count: int | None) -> dict[str, Any]:
        rule: dict[str, Any] = {verb: count} if verb in {"at_most", "at_least"} else {}
        for key, place in SLOTS[verb].items():
            selector = self.parts[key].selector()
            if selector or place != "when":
                rule[place] = selector
        return rule

    def _in_words(self, rule: dict[str, Any]) -> str:
        names = dict(self.instance.shop.models.values_list("code", "name"))
        return tell_rule(rule, names)[:300]

    def _look_into(self, rule: dict[str, Any], *, accepted: bool) -> None:
        found: Findings = look_into(shop=self.instance.shop, rule=rule, statement=self.instance)
        for fault in found.faults:
            self._refuse_fault(fault, verb_of(rule))
        if found.faults and not self.non_field_errors():
            self.add_error(None, MEND)
        self.clashes = found.clashes
        if found.clashes and not accepted:
            numbers = ", ".join(clash.code for clash in found.clashes)
            words = f"It clashes with {numbers}: mend it, supersede that one, or tick this."
            self.add_error("accept", words)

    def _refuse_fault(self, fault: Fault, verb: str) -> None:
        places = {place: key for key, place in SLOTS[verb].items()}
        if fault.place in places:
            self.parts[places[fault.place]].refuse(fault)
        else:
            self.add_error("count" if fault.place == "count" else "verb", fault.message)

    def save_rule(self) -> Statement:
        """The statement with its rule, not saved yet."""
        self.instance.rule = self.cleaned_data["rule"]
        self.instance.text = self.cleaned_data["text"]
        return self.instance
