"""Addresses of the tablet: its pages without data, its JSON, and the desk's look at it."""

from django.urls import path

from shopapp.tablet import desk_views, views, wire

app_name = "tablet"
urlpatterns = [
    path("tab/", views.app, name="app"),
    path("tab/scan/", views.scan, name="scan"),
    path("tab/sw.js", views.service_worker, name="sw"),
    path("tab/manifest.webmanifest", views.manifest, name="manifest"),
    path("api/tablet/me/", wire.me, name="me"),
    path("api/tablet/jobs/", wire.JobsToTake.as_view(), name="jobs"),
    path("api/tablet/jobs/<int:pk>/", wire.JobToTake.as_view(), name="job"),
    path("api/tablet/jobs/<int:pk>/drawing/", wire.DrawingToTake.as_view(), name="drawing"),
    path("api/tablet/entries/", wire.Entries.as_view(), name="entries"),
    path("api/tablet/photos/<uuid:uid>/", wire.PhotoPieces.as_view(), name="photo"),
    path("api/tablet/clashes/<int:pk>/", wire.ClashToSettle.as_view(), name="clash"),
    path("jobs/<int:pk>/boat-side/", desk_views.boat_side, name="boat_side"),
    path("jobs/<int:pk>/helpers/", desk_views.helpers, name="helpers"),
    path("clashes/<int:pk>/", desk_views.clash, name="settle"),
    path("entries/<int:pk>/", desk_views.entry, name="decide"),
]
