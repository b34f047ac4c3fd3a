"""Forms of the technician's pages."""

from datetime import datetime
from decimal import Decimal, InvalidOperation

from django import forms
from django.utils.dateparse import parse_datetime

from shopapp.catalog.models import EquipmentModel
from shopapp.jobs.models import Job, Problem, WorkStep
from shopapp.jobs.services.problems import Outcome, Seen
from shopapp.jobs.services.steps import Answer
from shopapp.ui.forms import CentsField, DeskForm, FigureInput


class ReadingField(forms.Field):
    """A figure as a meter shows it; a comma counts as the point."""

    widget = FigureInput

    def to_python(self, value: object) -> Decimal | None:
        """The figure; None when left empty."""
        text = str(value or "").strip().replace(",", ".")
        if not text:
            return None
        try:
            figure = Decimal(text)
        except InvalidOperation as error:
            raise forms.ValidationError("Write the figure alone, like 12.6.") from error
        if not figure.is_finite() or abs(figure) >= 1_000_000:
            raise forms.ValidationError("This figure is too large to be a reading.")
        return figure.quantize(Decimal("0.001"))


class StepForm(DeskForm):
    """The answer to one step: only the fields that the step asks for."""

    reading = ReadingField(required=False)
    found = forms.CharField(required=False, max_length=80)
    note = forms.CharField(
        label="Note", required=False, max_length=2000, widget=forms.Textarea({"rows": 2})
    )
    seen = forms.CharField(required=False, widget=forms.HiddenInput)
    state = forms.ChoiceField(
        choices=WorkStep.State.choices[1:],
        required=True,
        error_messages={"required": "Press “Did it” or “Could not”."},
    )

    def __init__(self, *args: object, step: WorkStep, **kwargs: object) -> None:
        kwargs.setdefault("auto_id", f"step-{step.pk}-%s")
        kwargs.setdefault("initial", {"seen": seen_mark(step)})
        super().__init__(*args, **kwargs)
        if step.asks != WorkStep.Asks.READING:
            del self.fields["reading"]
        if step.asks not in {WorkStep.Asks.SERIAL, WorkStep.Asks.RELEASE}:
            del self.fields["found"]
        self._name_fields(step)

    def _name_fields(self, step: WorkStep) -> None:
        if "reading" in self.fields:
            unit = f" ({step.expect_unit})" if step.expect_unit else ""
            self.fields["reading"].label = f"{step.expect_label or 'Reading'}{unit}"
            self.fields["reading"].widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}
        if "found" in self.fields:
            serial = step.asks == WorkStep.Asks.SERIAL
            self.fields["found"].label = "Serial number" if serial else "Release found"
            self.fields["found"].widget.attrs |= {
                "autocomplete": "off",
                "autocapitalize": "characters" if serial else "none",
                "spellcheck": "false",
            }
            if not serial:
                self.fields["found"].widget.attrs["list"] = f"releases-{step.pk}"

    def answer(self) -> Answer:
        """What was said."""
        facts = self.cleaned_data
        return Answer(
            state=facts["state"],
            reading=facts.get("reading"),
            found=facts.get("found", ""),
            note=facts["note"],
            seen=mark_time(facts["seen"]),
        )


def seen_mark(step: WorkStep) -> str:
    """When the step was answered, as the page had it; "" while it is open."""
    return step.done_at.isoformat() if step.done_at else ""


def mark_time(text: str) -> datetime | None:
    """The time of a mark; a mark that is none counts as never answered."""
    try:
        return parse_datetime(text) if text else None
    except ValueError:
        return None


class ProblemForm(DeskForm):
    """What did not work."""

    symptom = forms.ChoiceField(choices=[("", "Pick what was seen"), *Problem.Symptom.choices])
    words = forms.CharField(
        label="What was seen, in your words",
        max_length=4000,
        widget=forms.Textarea({"rows": 4}),
    )
    unit = forms.ChoiceField(label="On which unit", required=False)
    counterpart = forms.ModelChoiceField(
        EquipmentModel.objects.none(),
        label="Together with which model",
        required=False,
        empty_label="None, or not known",
    )
    minutes_lost = forms.IntegerField(
        label="Minutes lost", min_value=0, max_value=10_000, required=False
    )
    cause = forms.CharField(label="Cause, if you proved it", max_length=200, required=False)
    image = forms.FileField(
        label="Photo",
        required=False,
        widget=forms.FileInput({"accept": "image/*", "capture": "environment"}),
    )
    step = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.units = {
            str(unit.pk): unit
            for unit in job.boat.units.aboard().select_related("model", "release", "location")
        }
        planned = {row["unit"]: row["model"] for row in job.plan.get("units", [])}
        aboard = {unit.name for unit in self.units.values()}
        self.fields["unit"].choices = [
            ("", "No one unit, or not known"),
            *((pk, f"{unit.name}, {unit.model} at {unit.location}") for pk, unit in
              self.units.items()),
            *((f"new:{name}", f"{name}, new") for name in planned if name not in aboard),
        ]  # fmt: skip
        codes = {unit.model.code for unit in self.units.values()} | set(planned.values())
        self.fields["counterpart"].queryset = EquipmentModel.objects.filter(
            shop=job.shop_id, code__in=codes
        )

    def seen(self) -> Seen:
        """What was seen."""
        facts = self.cleaned_data
        return Seen(
            symptom=facts["symptom"],
            words=facts["words"],
            unit=self.units.get(facts["unit"]),
            planned=facts["unit"].removeprefix("new:") if "new:" in facts["unit"] else "",
            counterpart=facts["counterpart"],
            minutes_lost=facts["minutes_lost"] or 0,
            cause=facts["cause"],
            upload=facts["image"],
        )


class SolveForm(DeskForm):
    """The proven cause, what cured it, and who paid."""

    cause = forms.CharField(
        label="Cause",
        max_length=200,
        help_text="What was proven, not what is supposed. “None found” is an answer too.",
    )
    cure = forms.CharField(label="What cured it", max_length=200, required=False)
    paid_by = forms.ChoiceField(label="Who paid", choices=Problem.Payer.choices, required=False)
    lost_cents = CentsField(
        label="Parts and other money lost", required=False, help_text="Hours are counted apart."
    )
    claimed_cents = CentsField(label="Claimed from maker or supplier", required=False)
    recovered_cents = CentsField(label="Come back so far", required=False)

    @classmethod
    def of(cls, problem: Problem, *args: object, **kwargs: object) -> "SolveForm":
        """The form begun from what is on record."""
        start = {name: getattr(problem, name) or "" for name in cls.base_fields}
        return cls(*args, initial=start, **kwargs)

    def outcome(self) -> Outcome:
        """How it ended."""
        facts = self.cleaned_data
        cents = {name: facts[name] or 0 for name in facts if name.endswith("_cents")}
        return Outcome(cause=facts["cause"], cure=facts["cure"], paid_by=facts["paid_by"], **cents)


class UsedForm(DeskForm):
    """How many pieces of each line of the pick list were used."""

    def __init__(self, *args: object, usage: list[tuple], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.usage = usage
        for line, used in usage:
            self.fields[f"line-{line.pk}"] = forms.IntegerField(
                label=f"Used of {line.part.number}",
                min_value=0,
                max_value=line.at_hand,
                initial=used,
                error_messages={"max_value": f"Only {line.at_hand} were there."},
                widget=forms.TextInput({"inputmode": "numeric", "class": "figure"}),
            )

    def rows(self) -> list[tuple]:
        """Each line with its field."""
        return [(line, self[f"line-{line.pk}"]) for line, _ in self.usage]

    def used(self) -> dict[int, int]:
        """Pieces by the number of the line."""
        return {line.pk: self.cleaned_data[f"line-{line.pk}"] for line, _ in self.usage}
