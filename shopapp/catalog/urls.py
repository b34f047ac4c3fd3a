"""Addresses of the catalogue."""

from django.urls import path

from shopapp.catalog.views import makers, models

app_name = "catalog"

urlpatterns = [
    path("models/", models.models, name="models"),
    path("models/add/", models.add, name="model_add"),
    path("models/<int:pk>/", models.model, name="model"),
    path("models/<int:pk>/changes/", models.changes, name="model_changes"),
    path("models/<int:pk>/edit/", models.edit, name="model_edit"),
    path("models/<int:pk>/retire/", models.retire, name="model_retire"),
    path("models/<int:pk>/delete/", models.delete, name="model_delete"),
    path("makers/", makers.makers, name="makers"),
    path("makers/add/", makers.maker_add, name="maker_add"),
    path("makers/<int:pk>/", makers.maker, name="maker"),
    path("makers/<int:pk>/edit/", makers.maker_edit, name="maker_edit"),
    path("makers/<int:pk>/retire/", makers.maker_retire, name="maker_retire"),
    path("makers/<int:pk>/families/add/", makers.family_add, name="family_add"),
    path("families/<int:pk>/edit/", makers.family_edit, name="family_edit"),
    path("families/<int:pk>/retire/", makers.family_retire, name="family_retire"),
    path("labour/", makers.labour, name="labour"),
    path("labour/add/", makers.labour_add, name="labour_add"),
    path("labour/<int:pk>/edit/", makers.labour_edit, name="labour_edit"),
    path("labour/<int:pk>/retire/", makers.labour_retire, name="labour_retire"),
]
