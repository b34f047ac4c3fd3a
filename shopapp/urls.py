"""All addresses; each room keeps its own list."""

from django.contrib import admin
from django.urls import include, path

from shopapp.home import home
from shopapp.search import search

urlpatterns = [
    path("", include("shopapp.accounts.urls")),
    path("pick/", include("shopapp.ui.urls")),
    path("customers/", include("shopapp.customers.urls")),
    path("boats/", include("shopapp.boats.urls")),
    path("catalogue/", include("shopapp.catalog.urls")),
    path("parts/", include("shopapp.stock.urls")),
    path("", include("planner.urls")),
    path("", include("shopapp.jobs.urls")),
    path("fleet/", include("shopapp.fleet.urls")),
    path("fleet/", include("shopapp.insights.urls")),
    path("", include("shopapp.tablet.urls")),
    path("api/", include("shopapp.api.urls")),
    path("", home, name="home"),
    path("search/", search, name="search"),
    path("back-door/", admin.site.urls),
]
