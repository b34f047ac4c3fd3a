"""Addresses of the fleet's pages."""

from django.urls import path

from shopapp.insights import views

app_name = "insights"
urlpatterns = [
    path("", views.fleet, name="fleet"),
    path("counts/<int:pk>/", views.making, name="making"),
    path("<int:model>-<int:release>-<int:counterpart>-<int:switch>/", views.group, name="group"),
]
