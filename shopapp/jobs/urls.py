"""Addresses of enquiries, quotes, jobs and the customer's own page."""

from django.urls import URLPattern

app_name = "jobs"
urlpatterns: list[URLPattern] = []
