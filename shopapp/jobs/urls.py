"""Addresses of enquiries, quotes, jobs and the customer's own page."""

from django.urls import path

from shopapp.jobs.views import papers

app_name = "jobs"
urlpatterns = [
    path("papers/<int:pk>/", papers.paper, name="paper"),
    path("papers/<int:pk>/state/", papers.paper_state, name="paper_state"),
    path("papers/<int:pk>/fresh/", papers.paper_fresh, name="paper_fresh"),
    path("papers/<str:kind>/of/<int:pk>/", papers.paper_request, name="paper_request"),
]
