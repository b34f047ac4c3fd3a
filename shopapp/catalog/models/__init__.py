"""The shop's catalogue: makers, families, models, releases, parts, labour."""

from shopapp.catalog.models.equipment import EquipmentModel, Family, Kind, Maker
from shopapp.catalog.models.firmware import PortLight, Release, Update
from shopapp.catalog.models.labour import LabourTask
from shopapp.catalog.models.parts import Part, Searchable, Supplier

__all__ = [
    "EquipmentModel",
    "Family",
    "Kind",
    "LabourTask",
    "Maker",
    "Part",
    "PortLight",
    "Release",
    "Searchable",
    "Supplier",
    "Update",
]
