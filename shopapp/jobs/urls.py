"""Addresses of enquiries, quotes, jobs and the customer's own page."""

from django.urls import path

from shopapp.jobs.job_urls import urlpatterns as job_urlpatterns
from shopapp.jobs.offer_urls import urlpatterns as offer_urlpatterns
from shopapp.jobs.queue_urls import urlpatterns as queue_urlpatterns
from shopapp.jobs.store_urls import urlpatterns as store_urlpatterns
from shopapp.jobs.views import (
    answers,
    checks,
    customer,
    customer_photos,
    enquiries,
    lines,
    papers,
    quotes,
)

app_name = "jobs"
urlpatterns = [
    *job_urlpatterns,
    *store_urlpatterns,
    *queue_urlpatterns,
    *offer_urlpatterns,
    path("enquiries/", enquiries.enquiries, name="enquiries"),
    path("enquiries/add/", enquiries.enquiry_add, name="enquiry_add"),
    path("enquiries/<int:pk>/", enquiries.enquiry, name="enquiry"),
    path("enquiries/<int:pk>/edit/", enquiries.enquiry_edit, name="enquiry_edit"),
    path("enquiries/<int:pk>/close/", enquiries.enquiry_close, name="enquiry_close"),
    path("enquiries/<int:pk>/reopen/", enquiries.enquiry_reopen, name="enquiry_reopen"),
    path("quotes/", quotes.quotes, name="quotes"),
    path("quotes/<int:pk>/", quotes.quote, name="quote"),
    path("quotes/of-plan/<int:run>/", quotes.quote_from_run, name="quote_from_run"),
    path("quotes/<int:pk>/words/", quotes.quote_words, name="quote_words"),
    path("quotes/<int:pk>/move/<slug:after>/", quotes.quote_move, name="quote_move"),
    path("quotes/<int:pk>/send/", quotes.quote_send, name="quote_send"),
    path("quotes/<int:pk>/revise/", quotes.quote_revise, name="quote_revise"),
    path("quotes/<int:pk>/plan-again/", quotes.quote_again, name="quote_again"),
    path("quotes/<int:pk>/answer/", answers.quote_answer, name="quote_answer"),
    path("quotes/<int:pk>/checks/", checks.checks_again, name="checks_again"),
    path("quotes/options/<int:pk>/remedy/", checks.remedy_take, name="remedy_take"),
    path("quotes/options/<int:pk>/", quotes.quote_option, name="quote_option"),
    path("quotes/options/<int:option>/add-line/", lines.line_add, name="line_add"),
    path("quotes/lines/<int:pk>/", lines.line, name="line"),
    path("quotes/lines/<int:pk>/off/", lines.line_off, name="line_off"),
    path("quotes/lines/<int:pk>/back/", lines.line_back, name="line_back"),
    path("quotes/assumptions/<int:pk>/", quotes.assumption_settle, name="assumption_settle"),
    path("quotes/photos/<int:pk>/", customer_photos.photo_of_customer, name="photo_of_customer"),
    path("quotes/photos/<int:pk>/settle/", customer_photos.photo_settle, name="photo_settle"),
    path("q/<str:token>/", customer.customer_quote, name="customer_quote"),
    path("q/<str:token>/accept/", customer.customer_accept, name="customer_accept"),
    path("q/<str:token>/ask/", customer.customer_ask, name="customer_ask"),
    path("q/<str:token>/photo/", customer_photos.customer_photo, name="customer_photo"),
    path("q/<str:token>/decline/", customer.customer_decline, name="customer_decline"),
    path("q/<str:token>/paper/", customer.customer_paper, name="customer_paper"),
    path("papers/<int:pk>/", papers.paper, name="paper"),
    path("papers/<int:pk>/state/", papers.paper_state, name="paper_state"),
    path("papers/<int:pk>/fresh/", papers.paper_fresh, name="paper_fresh"),
    path("papers/<str:kind>/of/<int:pk>/", papers.paper_request, name="paper_request"),
]
