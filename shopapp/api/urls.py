"""Addresses of the JSON views."""

from django.urls import path

from shopapp.api import faults, sums, verdicts, views

app_name = "api"
urlpatterns = [
    path("boats/", views.Boats.as_view(), name="boats"),
    path("boats/<int:pk>/", views.BoatView.as_view(), name="boat"),
    path("jobs/<int:pk>/", views.JobView.as_view(), name="job"),
    path("documents/<int:pk>/", views.DocumentView.as_view(), name="document"),
    path("verdict/", verdicts.VerdictView.as_view(), name="verdict"),
    path("jobs/<int:pk>/faults/", faults.JobFaultsView.as_view(), name="job_faults"),
    path("sums/", sums.SumsView.as_view(), name="sums"),
    path("sums/<slug:name>/", sums.SumView.as_view(), name="sum"),
]
