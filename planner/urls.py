"""Addresses of plans and statements."""

from django.urls import include, path

from planner import views

app_name = "planner"
urlpatterns = [
    path("", include("planner.statements.urls")),
    path("", include("planner.reasons.urls")),
    path("", include("planner.benchsums.urls")),
    path("boats/<int:pk>/plan/", views.wish, name="wish"),
    path("boats/<int:pk>/plans/", views.plans, name="plans"),
    path("plans/<int:pk>/", views.run, name="run"),
    path("plans/<int:pk>/state/", views.run_state, name="run_state"),
    path("plans/<int:pk>/again/", views.again, name="again"),
    path("plans/<int:pk>/retry/", views.retry, name="retry"),
    path("plans/<int:pk>/stop/", views.stop, name="stop"),
    path("plans/<int:pk>/changes/", views.changes, name="changes"),
    path("plans/<int:pk>/changes/since/", views.changes_since, name="changes_since"),
]
