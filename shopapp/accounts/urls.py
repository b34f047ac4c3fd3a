"""Addresses of sign-in, people and the shop's settings."""

from django.urls import path

from shopapp.accounts import views

app_name = "accounts"

urlpatterns = [
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("me/", views.me, name="me"),
    path("me/password/", views.password, name="password"),
    path("me/sign-ins/<int:pk>/end/", views.end_sign_in, name="end_sign_in"),
    path("me/sign-ins/end-others/", views.end_other_sign_ins, name="end_others"),
    path("people/", views.people, name="people"),
    path("people/add/", views.add_person, name="add_person"),
    path("people/<int:pk>/", views.person, name="person"),
    path("people/<int:pk>/password/", views.reset_password, name="reset_password"),
    path("people/<int:pk>/active/", views.set_active, name="set_active"),
    path("settings/", views.shop, name="shop"),
    path("settings/taxes/add/", views.add_tax, name="add_tax"),
    path("settings/taxes/<int:pk>/end/", views.end_tax, name="end_tax"),
]
