"""All addresses; each room keeps its own list."""

from django.urls import path

urlpatterns: list = []
