"""Addresses of what belongs to a quote on its way, taken up by the room's list."""

from django.urls import path

from shopapp.jobs.views import deposits, letters, second_look, surveys, talk

urlpatterns = [
    path("quotes/<int:pk>/second-look/", second_look.look_ask, name="look_ask"),
    path("quotes/second-looks/<int:pk>/", second_look.look_answer, name="look_answer"),
    path("quotes/<int:pk>/reply/", talk.quote_reply, name="quote_reply"),
    path("quotes/<int:pk>/deposit/", deposits.deposit_add, name="deposit_add"),
    path("quotes/deposits/<int:pk>/strike/", deposits.deposit_strike, name="deposit_strike"),
    path("letters/<int:pk>/", letters.letter, name="letter"),
    path("letters/<int:pk>/state/", letters.letter_state, name="letter_state"),
    path("letters/<int:pk>/again/", letters.letter_again, name="letter_again"),
    path("surveys/", surveys.surveys, name="surveys"),
    path("surveys/<int:pk>/", surveys.survey, name="survey"),
    path("surveys/<int:pk>/close/", surveys.survey_close, name="survey_close"),
    path("surveys/<int:pk>/drop/", surveys.survey_drop, name="survey_drop"),
    path("surveys/items/<int:pk>/", surveys.survey_answer, name="survey_answer"),
    path("enquiries/<int:pk>/survey/", surveys.survey_of_enquiry, name="survey_of_enquiry"),
    path("quotes/<int:pk>/survey/", surveys.survey_of_quote, name="survey_of_quote"),
    path("boats/<int:pk>/survey-sheet/", surveys.survey_of_boat, name="survey_of_boat"),
]
