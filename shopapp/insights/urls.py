"""Addresses of the fleet's pages."""

from django.urls import path

from shopapp.insights import views

app_name = "insights"
urlpatterns = [
    path("", views.fleet, name="fleet"),
    path("<int:model>-<int:release>-<int:counterpart>/", views.group, name="group"),
]
