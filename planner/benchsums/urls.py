"""Addresses of the bench sums, taken up by the planner's list."""

from django.urls import path

from planner.benchsums import views

urlpatterns = [
    path("sums/", views.sums, name="sums"),
    path("sums/rules/", views.rules, name="sum_rules"),
    path("sums/<slug:name>/", views.one_sum, name="sum"),
]
