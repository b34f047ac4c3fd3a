"""Addresses of what belongs to a quote on its way, taken up by the room's list."""

from django.urls import path

from shopapp.jobs.views import deposits, letters, second_look, talk

urlpatterns = [
    path("quotes/<int:pk>/second-look/", second_look.look_ask, name="look_ask"),
    path("quotes/second-looks/<int:pk>/", second_look.look_answer, name="look_answer"),
    path("quotes/<int:pk>/reply/", talk.quote_reply, name="quote_reply"),
    path("quotes/<int:pk>/deposit/", deposits.deposit_add, name="deposit_add"),
    path("quotes/deposits/<int:pk>/strike/", deposits.deposit_strike, name="deposit_strike"),
    path("letters/<int:pk>/", letters.letter, name="letter"),
    path("letters/<int:pk>/state/", letters.letter_state, name="letter_state"),
    path("letters/<int:pk>/again/", letters.letter_again, name="letter_again"),
]
