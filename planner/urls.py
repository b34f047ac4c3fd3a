"""Addresses of plans and statements."""

from django.urls import include, path

app_name = "planner"

urlpatterns = [
    path("", include("planner.statements.urls")),
]
