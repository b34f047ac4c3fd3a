"""Addresses of parts and suppliers."""

from django.urls import path

from shopapp.stock import store_views, views

app_name = "stock"

urlpatterns = [
    path("", views.parts, name="parts"),
    path("add/", views.part_add, name="part_add"),
    path("<int:pk>/", views.part, name="part"),
    path("<int:pk>/edit/", views.part_edit, name="part_edit"),
    path("<int:pk>/count/", views.count, name="count"),
    path("<int:pk>/retire/", views.part_retire, name="part_retire"),
    path("<int:pk>/supply/", store_views.part_supply, name="part_supply"),
    path("<int:pk>/price/", store_views.part_price, name="part_price"),
    path("<int:pk>/substitute/", store_views.part_substitute, name="part_substitute"),
    path("<int:pk>/kit/", store_views.part_kit, name="part_kit"),
    path("<int:pk>/move/", store_views.part_move, name="part_move"),
    path("<int:pk>/off/<slug:what>/<int:row>/", store_views.part_unsay, name="part_unsay"),
    path("counts/", store_views.counts, name="counts"),
    path("counts/<int:pk>/", store_views.count_sheet, name="count_sheet"),
    path("counts/<int:pk>/found/", store_views.count_found, name="count_found"),
    path("counts/<int:pk>/drop/", store_views.count_drop, name="count_drop"),
    path("prices/<int:pk>/", store_views.price_file, name="price_file"),
    path("suppliers/<int:pk>/prices/", store_views.price_file_add, name="price_file_add"),
    path("suppliers/", views.suppliers, name="suppliers"),
    path("suppliers/add/", views.supplier_add, name="supplier_add"),
    path("suppliers/<int:pk>/", views.supplier_edit, name="supplier"),
    path("suppliers/<int:pk>/retire/", views.supplier_retire, name="supplier_retire"),
]
