"""Addresses that several rooms share."""

from django.urls import path

from shopapp.ui import views

app_name = "ui"

urlpatterns = [
    path("<slug:kind>", views.pick, name="pick"),
]
