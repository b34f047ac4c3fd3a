"""Addresses of customers."""

from django.urls import path

from shopapp.customers import views

app_name = "customers"

urlpatterns = [
    path("", views.customers, name="customers"),
    path("add/", views.add, name="add"),
    path("<int:pk>/", views.customer, name="customer"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("<int:pk>/retire/", views.retire, name="retire"),
    path("<int:pk>/restore/", views.restore, name="restore"),
    path("<int:pk>/delete/", views.delete, name="delete"),
]
