"""Addresses of the fleet's pages that change something."""

from django.urls import path

from shopapp.fleet.views import (
    asking,
    bulletins,
    campaign_boats,
    known,
    lessons,
    standings,
    weekly,
)

app_name = "fleet"
urlpatterns = [
    path("known/", known.known_list, name="known_list"),
    path("known/<int:pk>/", known.known, name="known"),
    path("known/<int:pk>/edit/", known.known_edit, name="known_edit"),
    path("known/<int:pk>/merge/", known.known_merge, name="known_merge"),
    path("known/<int:pk>/split/", known.known_split, name="known_split"),
    path("known/<int:pk>/undo/<int:move>/", known.known_undo, name="known_undo"),
    path("known/<int:pk>/draft/", lessons.draft, name="lesson_draft"),
    path("drafts/", lessons.drafts, name="lessons"),
    path("drafts/<int:pk>/", lessons.lesson, name="lesson"),
    path("drafts/<int:pk>/impact/", lessons.impact, name="lesson_impact"),
    path("drafts/<int:pk>/answer/", lessons.answer, name="lesson_answer"),
    path("ask/", asking.ask, name="ask"),
    path("ask/csv/", asking.as_csv, name="ask_csv"),
    path("ask/spreadsheet/", asking.as_spreadsheet, name="ask_spreadsheet"),
    path("ask/keep/", asking.keep, name="ask_keep"),
    path("ask/<int:pk>/drop/", asking.drop, name="ask_drop"),
    path("not-right/", standings.not_right, name="not_right"),
    path("not-right/check/", standings.check, name="recheck"),
    path("not-right/checks/", standings.checks, name="checks"),
    path("bulletins/", bulletins.bulletins, name="bulletins"),
    path("bulletins/new/", bulletins.bulletin_new, name="bulletin_new"),
    path("bulletins/<int:pk>/", bulletins.bulletin, name="bulletin"),
    path("bulletins/<int:pk>/works/", bulletins.campaign_works, name="campaign_works"),
    path("bulletins/<int:pk>/press/", bulletins.campaign_press, name="campaign_press"),
    path("bulletins/<int:pk>/close/", bulletins.campaign_close, name="campaign_close"),
    path("called-in/<int:pk>/", campaign_boats.campaign_boat, name="campaign_boat"),
    path("called-in/<int:pk>/call/", campaign_boats.campaign_call, name="campaign_call"),
    path("weekly/", weekly.weekly, name="weekly"),
    path("weekly/make/", weekly.weekly_make, name="weekly_make"),
    path("loose/", known.loose_notes, name="loose"),
    path("likeness/<int:pk>/", known.likeness, name="likeness"),
    path("likeness/<int:pk>/answer/", known.answer, name="answer"),
    path("likeness/<int:pk>/make/", known.make, name="make"),
]
