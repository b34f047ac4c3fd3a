"""How forms look, what they say, and money as it is typed."""

from datetime import date

import pytest
from django import forms
from django.core.exceptions import ValidationError
from django.template import engines

from shopapp.errors import FactRefused
from shopapp.ui.forms import CentsField, DeskForm


class Boat(DeskForm):
    name = forms.CharField(label="Name", help_text="As painted.")
    length_ft = forms.IntegerField(label="Length", min_value=1)
    seen = forms.DateField(label="Seen", required=False)
    at = forms.DateTimeField(label="At", required=False)
    afloat = forms.BooleanField(label="Afloat", required=False)
    lying = forms.ChoiceField(
        label="Lying", choices=[("a", "Afloat"), ("y", "Yard")], widget=forms.RadioSelect
    )

    def clean(self) -> None:
        if self.cleaned_data.get("name") == "Nowhere":
            self.add_error(None, "This boat lies nowhere.")


GOOD = {"name": "Grey Heron", "length_ft": "24", "lying": "a"}


def drawn(source: str, form: forms.Form) -> str:
    return engines["django"].from_string(source).render({"form": form})


def test_a_field_is_drawn_with_label_help_and_their_ties() -> None:
    shown = drawn("{% field form.name %}", Boat())
    assert '<label for="id_name">Name' in shown
    assert 'aria-describedby="id_name_helptext"' in shown
    assert '<p class="help" id="id_name_helptext">As painted.</p>' in shown


def test_an_error_stands_beside_its_field_and_is_tied_to_it() -> None:
    shown = drawn("{% field form.name %}", Boat(GOOD | {"name": ""}))
    assert 'aria-invalid="true"' in shown
    assert 'aria-describedby="id_name_helptext id_name_error"' in shown
    assert '<p class="error" id="id_name_error">Fill this in.' in shown


def test_the_first_wrong_field_takes_the_focus_and_no_other() -> None:
    form = Boat(GOOD | {"length_ft": "long", "lying": "air"})
    assert "autofocus" not in drawn("{% field form.name %}", form)
    assert "autofocus" in drawn("{% field form.length_ft %}", form)
    assert "autofocus" not in drawn("{% field form.lying %}", form)


def test_an_error_of_the_whole_form_takes_the_focus() -> None:
    form = Boat(GOOD | {"name": "Nowhere"})
    assert 'role="alert" tabindex="-1" autofocus' in drawn("{% form_errors form %}", form)
    assert "autofocus" not in drawn("{% fields form %}", form)


def test_a_sound_form_has_no_error_box() -> None:
    assert drawn("{% form_errors form %}", Boat(GOOD)).strip() == ""


@pytest.mark.parametrize(
    ("name", "sign"),
    [
        ("length_ft", 'inputmode="numeric"'),
        ("seen", 'type="date"'),
        ("at", 'type="datetime-local"'),
    ],
)
def test_a_field_gets_its_fitting_control(name: str, sign: str) -> None:
    shown = str(Boat()[name])
    assert sign in shown
    assert 'type="number"' not in shown


def test_a_date_known_before_is_shown_as_the_calendar_reads_it() -> None:
    assert 'value="2026-11-25"' in str(Boat(initial={"seen": date(2026, 11, 25)})["seen"])


def test_radio_buttons_stand_in_a_group_with_a_legend() -> None:
    shown = drawn("{% field form.lying %}", Boat())
    assert shown.startswith("<fieldset")
    assert "<legend>Lying" in shown


def test_a_refused_fact_is_put_beside_its_field() -> None:
    form = Boat(GOOD)
    assert form.is_valid()
    form.refuse(FactRefused("Too long for the shed.", field="length_ft", todo="Book the yard."))
    assert form.errors["length_ft"] == ["Too long for the shed. Book the yard."]


def test_a_refused_fact_without_a_field_stands_over_the_form() -> None:
    form = Boat(GOOD)
    form.refuse(FactRefused("Too long.", field="elsewhere"))
    assert form.non_field_errors() == ["Too long."]


@pytest.mark.parametrize(
    ("typed", "cents"),
    [
        ("1234.56", 123456),
        ("1,234.5", 123450),
        ("$12", 1200),
        (" 0.07 ", 7),
        (".5", 50),
        ("12.", 1200),
        ("", None),
    ],
)
def test_an_amount_is_read_as_cents(typed: str, cents: int | None) -> None:
    assert CentsField(required=False).clean(typed) == cents


@pytest.mark.parametrize(
    "typed", ["12.345", "1.2.3", "ten", "-1", "1e5", "NaN", "٣", "--1", ".", "99999999999"]
)
def test_an_amount_that_cannot_be_right_is_refused(typed: str) -> None:
    with pytest.raises(ValidationError):
        CentsField(required=False).clean(typed)


def test_a_credit_may_be_below_zero_where_it_is_meant() -> None:
    assert CentsField(below_zero=True).clean("-12.50") == -1250


@pytest.mark.parametrize("cents", [0, 7, 123456, -1250])
def test_an_amount_shown_and_typed_back_is_the_same(cents: int) -> None:
    field = CentsField(below_zero=True)
    assert field.clean(field.prepare_value(cents)) == cents
    assert not field.has_changed(cents, field.prepare_value(cents))
