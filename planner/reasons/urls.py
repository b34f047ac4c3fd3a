"""Addresses of reasons, taken up by the planner's list."""

from django.urls import path

from planner.reasons import verdict_views, whatif_views, why_views

urlpatterns = [
    path("verdict/", verdict_views.verdict, name="verdict"),
    path("plans/<int:pk>/why/", why_views.why, name="why"),
    path("plans/<int:pk>/tipping/", why_views.tipping, name="tipping"),
    path("plans/<int:pk>/measure-first/", why_views.measure_first, name="measure_first"),
    path("plans/<int:pk>/questions/", whatif_views.questions, name="questions"),
    path("plans/<int:pk>/why-not/", whatif_views.why_not, name="why_not"),
    path("plans/<int:pk>/what-if/", whatif_views.what_if, name="what_if"),
    path("plans/<int:pk>/what-if/asked/", whatif_views.what_if_asked, name="what_if_asked"),
    path("plans/<int:pk>/compare/", whatif_views.compare, name="compare"),
]
