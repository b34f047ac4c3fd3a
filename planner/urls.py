"""Addresses of plans."""

from django.urls import URLPattern

app_name = "planner"
urlpatterns: list[URLPattern] = []
