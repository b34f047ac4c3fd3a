"""The form of an equipment model's own facts; its sheets stand in `sheets`."""

from django import forms

from shopapp.accounts.models import Shop
from shopapp.catalog.models import EquipmentModel, Kind
from shopapp.catalog.services.codes import check_code_free_of_parts
from shopapp.errors import FactRefused
from shopapp.ui.forms import DeskModelForm, PickField

YES_NO = [("", "Not known"), ("true", "Yes"), ("false", "No")]
MOST = {
    "ports": (64, "No unit has more than 64 ports."),
    "generation": (99, "Generations count from 1 to 99."),
    "fit_minutes": (6000, "More than 100 hours for one unit cannot be right."),
    "remove_minutes": (6000, "More than 100 hours for one unit cannot be right."),
    "fuse_ma": (400_000, "Write milliamperes: 10 A is 10000. 400 A is the most."),
    "draw_ma": (400_000, "Write milliamperes: 1.5 A is 1500. 400 A is the most."),
    "load_units": (50, "No unit loads a backbone with more than 50 LEN."),
    "warranty_months": (240, "More than 20 years of warranty cannot be right."),
}


class ModelForm(DeskModelForm):
    """What the shop and the planner must know of a model."""

    family = PickField("families", label="Family", help_text="Maker and line.")
    part = PickField(
        "equipment",
        label="Sold as (part)",
        required=False,
        help_text="Empty, or a part without a price: cannot be bought.",
    )
    adapter = PickField(
        "adapters",
        label="Adapter lead at each used port",
        required=False,
        help_text="Empty: the cable fits the port as it is.",
    )
    lead = PickField("leads", label="Power lead", required=False)

    class Meta:
        model = EquipmentModel
        fields = [
            "family", "name", "code", "kind", "generation", "lifecycle", "part",
            "ports", "bridges", "adapter",
            "draw_ma", "fuse_ma", "lead", "volts_low", "volts_high", "load_units",
            "fit_minutes", "remove_minutes", "mount", "depth_mm", "cutout_width_mm",
            "cutout_height_mm", "water_rating", "ignition_protected", "compass_safe_cm",
            "standby_ma", "most_c", "aerial", "warranty_months", "note",
        ]  # fmt: skip
        labels = {
            "code": "Code",
            "bridges": "Traffic passes between its ports",
            "draw_ma": "Draw (mA)",
            "fuse_ma": "Fuse called for (mA)",
            "volts_low": "Volts, lowest",
            "volts_high": "Volts, highest",
            "fit_minutes": "Fit one from nothing (minutes)",
            "remove_minutes": "Take one out (minutes)",
            "cutout_width_mm": "Cut-out width (mm)",
            "cutout_height_mm": "Cut-out height (mm)",
            "compass_safe_cm": "Compass-safe distance (cm)",
            "warranty_months": "Warranty (months)",
            "ignition_protected": "Ignition-protected",
        }
        help_texts = {
            "code": "Short, for statements and plans: letters, figures and dashes.",
            "bridges": "Every switch does; few others do.",
            "standby_ma": "Switched off, but fed. Empty: not known; 0: none.",
            "ports": "Each takes one cable; 0 where it has none.",
            "mount": "Two models with the same footprint swap on the same holes.",
            "fuse_ma": "Empty: it needs no fuse of its own. 10 A is 10000.",
            "ignition_protected": "Only as its maker says; not known is never taken as yes.",
        }

    GROUPS = [
        ("What it is", ["family", "name", "code", "kind", "generation", "lifecycle", "part"]),
        ("Network", ["ports", "bridges", "adapter"]),
        (
            "Power",
            [
                "draw_ma", "standby_ma", "fuse_ma", "lead", "volts_low", "volts_high",
                "load_units",
            ],
        ),
        (
            "Fitting",
            [
                "fit_minutes", "remove_minutes", "mount", "depth_mm", "cutout_width_mm",
                "cutout_height_mm", "water_rating", "ignition_protected", "compass_safe_cm",
                "most_c", "aerial",
            ],
        ),
        ("Papers", ["warranty_months", "note"]),
    ]  # fmt: skip

    def __init__(self, *args: object, shop: Shop, named_by: list[str], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.instance.shop = shop
        self.named_by = named_by
        self.code_before = self.instance.code
        self.fields["ignition_protected"] = forms.TypedChoiceField(
            label="Ignition-protected",
            choices=YES_NO,
            required=False,
            coerce={"true": True, "false": False}.get,
            empty_value=None,
            help_text=self.Meta.help_texts["ignition_protected"],
        )
        protected = self.instance.ignition_protected
        self.initial["ignition_protected"] = "" if protected is None else str(protected).lower()

    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The fields under their headings."""
        return [(title, [self[name] for name in names]) for title, names in self.GROUPS]

    def clean_code(self) -> str:
        """A code that statements name stays; it is free among models and part numbers."""
        code = self.cleaned_data["code"]
        if self.code_before and code != self.code_before and self.named_by:
            numbers = ", ".join(self.named_by[:4])
            raise forms.ValidationError(
                f"Statements name {self.code_before} ({numbers}); the code cannot change."
            )
        others = EquipmentModel.objects.of(self.instance.shop).exclude(pk=self.instance.pk)
        if others.filter(code=code).exists():
            raise forms.ValidationError("Another model has this code. Choose another.")
        try:
            check_code_free_of_parts(shop=self.instance.shop, code=code)
        except FactRefused as error:
            raise forms.ValidationError(f"{error.message} {error.todo}") from error
        return code

    def clean_part(self) -> object:
        """A part is sold as one model only."""
        part = self.cleaned_data["part"]
        if part is None:
            return None
        other = EquipmentModel.objects.filter(part=part).exclude(pk=self.instance.pk).first()
        if other:
            raise forms.ValidationError(f"{part.number} is what {other} is sold as.")
        return part

    def clean(self) -> dict[str, object]:
        """A switch bridges, volts rise, nothing is larger than it can be."""
        facts = super().clean()
        if facts.get("kind") == Kind.SWITCH and not facts.get("bridges"):
            self.add_error("bridges", "A switch passes traffic between its ports: tick this.")
        low, high = facts.get("volts_low"), facts.get("volts_high")
        if low is not None and high is not None and high < low:
            self.add_error("volts_high", f"The highest cannot lie under the lowest ({low} V).")
        for name, (most, words) in MOST.items():
            if (facts.get(name) or 0) > most:
                self.add_error(name, words)
        return facts
