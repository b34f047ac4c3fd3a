"""How boats, jobs and documents look as JSON; units stand in the names."""

from typing import Any

from rest_framework import serializers

from shopapp.boats.models import Boat, Unit
from shopapp.jobs.models import Document, Job, WorkStep


class BoatShape(serializers.ModelSerializer):
    """A boat in a list."""

    class Meta:
        model = Boat
        fields = [
            "id", "name", "hull_number_read", "registration", "kind", "length_ft", "beam_ft",
            "fuel", "dc_volts", "marina", "berth", "facts_changed_at",
        ]  # fmt: skip


class UnitShape(serializers.ModelSerializer):
    """A unit aboard; a null release or network state is not known."""

    model = serializers.CharField(source="model.code")
    release = serializers.CharField(source="release.name", default=None)
    location = serializers.CharField(source="location.name")

    class Meta:
        model = Unit
        fields = [
            "name", "model", "serial", "release", "location", "networked", "adapters", "fuse_ma",
            "state", "fitted_on", "fitted_under",
        ]  # fmt: skip


class WholeBoatShape(BoatShape):
    """A boat with what is aboard."""

    units = UnitShape(source="units_aboard", many=True)
    cables = serializers.SerializerMethodField()

    class Meta(BoatShape.Meta):
        fields = [*BoatShape.Meta.fields, "units", "cables"]

    def get_cables(self, boat: Boat) -> list[dict[str, Any]]:
        """The cables in place, from port to port."""
        return [
            {
                "label": cable.label,
                "part": cable.part.number,
                "feet": cable.part.cable_ft,
                "ends": [
                    {
                        "location": end.location.name,
                        "unit": end.unit.name if end.unit else None,
                        "port": end.port,
                    }
                    for end in cable.ends.all()
                ],
            }
            for cable in boat.cables_aboard
        ]


class StepShape(serializers.ModelSerializer):
    """A step of a job with its answer."""

    class Meta:
        model = WorkStep
        fields = [
            "id", "position", "kind", "title", "detail", "caution", "unit_key", "minutes", "asks",
            "expect_label", "expect_unit", "expect_low", "expect_high", "expect_text", "state",
            "reading", "found", "note", "done_at",
        ]  # fmt: skip


class JobShape(serializers.ModelSerializer):
    """A job with its steps and ports; no money."""

    technician = serializers.CharField(source="technician.full_name", default=None)
    boat_name = serializers.CharField(source="boat.name")
    steps = StepShape(many=True)

    class Meta:
        model = Job
        fields = [
            "id", "number", "title", "state", "held_reason", "boat", "boat_name", "technician",
            "planned_on", "minutes_planned", "ports", "version", "opened_at", "started_at",
            "done_at", "steps",
        ]  # fmt: skip


class DocumentShape(serializers.ModelSerializer):
    """A paper: asked for, being made, ready or failed with its reason."""

    class Meta:
        model = Document
        fields = [
            "id", "kind", "quote", "job", "version", "row_state", "reason", "pages", "digest",
            "requested_at", "finished_at",
        ]  # fmt: skip
