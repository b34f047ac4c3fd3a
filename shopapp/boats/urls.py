"""Addresses of boats and of all aboard."""

from django.urls import path

from shopapp.boats.views import boats, entry, evidence, units

app_name = "boats"

urlpatterns = [
    path("", boats.boats, name="boats"),
    path("add/", entry.add, name="add"),
    path("hull-number/", entry.hull_number, name="hull_number"),
    path("releases/", entry.releases, name="releases"),
    path("units/", units.units, name="units"),
    path("units/<int:pk>/", units.unit, name="unit"),
    path("units/<int:pk>/edit/", units.edit_unit, name="edit_unit"),
    path("units/<int:pk>/state/", units.set_state, name="set_state"),
    path("units/<int:pk>/delete/", units.delete, name="delete_unit"),
    path("evidence/<int:pk>/settle/", evidence.settle, name="settle"),
    path("photos/<int:pk>/", evidence.photo, name="photo"),
    path("photos/<int:pk>/remove/", evidence.drop_photo, name="drop_photo"),
    path("<int:pk>/", boats.boat, name="boat"),
    path("<int:pk>/edit/", entry.edit, name="edit"),
    path("<int:pk>/survey/", entry.survey, name="survey_start"),
    path("<int:pk>/survey/<slug:section>/", entry.survey, name="survey"),
    path("<int:pk>/photos/", evidence.photos, name="photos"),
    path("<int:pk>/work/", boats.work, name="work"),
    path("<int:pk>/history/", boats.history, name="history"),
    path("<int:pk>/sell/", boats.sell, name="sell"),
    path("<int:pk>/retire/", boats.retire, name="retire"),
    path("<int:pk>/restore/", boats.restore, name="restore"),
    path("<int:pk>/delete/", boats.delete, name="delete"),
]
