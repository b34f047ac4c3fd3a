"""Addresses of parts and suppliers."""

from django.urls import path

from shopapp.stock import views

app_name = "stock"

urlpatterns = [
    path("", views.parts, name="parts"),
    path("add/", views.part_add, name="part_add"),
    path("<int:pk>/", views.part, name="part"),
    path("<int:pk>/edit/", views.part_edit, name="part_edit"),
    path("<int:pk>/count/", views.count, name="count"),
    path("<int:pk>/retire/", views.part_retire, name="part_retire"),
    path("suppliers/", views.suppliers, name="suppliers"),
    path("suppliers/add/", views.supplier_add, name="supplier_add"),
    path("suppliers/<int:pk>/", views.supplier_edit, name="supplier"),
    path("suppliers/<int:pk>/retire/", views.supplier_retire, name="supplier_retire"),
]
