"""Addresses of statements, taken up by the planner's list."""

from django.urls import path

from planner.statements import views

urlpatterns = [
    path("statements/", views.statements, name="statements"),
    path("statements/add/", views.add, name="statement_add"),
    path("statements/<int:pk>/", views.statement, name="statement"),
    path("statements/number/<slug:code>/", views.statement_called, name="statement_called"),
    path("statements/<int:pk>/edit/", views.edit, name="statement_edit"),
    path("statements/<int:pk>/supersede/", views.supersede, name="statement_supersede"),
    path("statements/<int:pk>/retire/", views.retire, name="statement_retire"),
]
