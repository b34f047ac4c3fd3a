"""Addresses of the store: pick lists, shortages, purchase orders, leftovers."""

from django.urls import path

from shopapp.jobs.views import letters, orders, store

urlpatterns = [
    path("store/", store.pick_lists, name="pick_lists"),
    path("store/jobs/<int:pk>/", store.pick, name="pick"),
    path("store/jobs/<int:pk>/scan/", store.scan, name="scan"),
    path("store/jobs/<int:pk>/undo/", store.undo, name="scan_undo"),
    path("store/jobs/<int:pk>/reserve/", store.reserve, name="pick_reserve"),
    path("store/jobs/<int:pk>/stage/", store.stage, name="stage"),
    path("store/jobs/<int:pk>/unstage/", store.unstage, name="unstage"),
    path("store/jobs/<int:pk>/issue/", store.issue, name="issue"),
    path("store/lines/<int:pk>/instead/", store.substitute, name="substitute"),
    path("store/lines/<int:pk>/instead/take/", store.substitute_take, name="substitute_take"),
    path("store/lines/<int:pk>/instead/prove/", store.substitute_prove, name="substitute_prove"),
    path("store/lines/<int:pk>/instead/change/", store.substitute_change, name="substitute_change"),
    path("store/boxes/<int:pk>/", store.serial, name="serial"),
    path("store/leftovers/", store.leftover_list, name="leftovers"),
    path("store/lines/<int:pk>/back/", store.bring_back, name="bring_back"),
    path("store/shortages/", orders.shortage_list, name="shortages"),
    path("store/orders/", orders.orders, name="orders"),
    path("store/orders/add/", orders.order_add, name="order_add"),
    path("store/orders/<int:pk>/", orders.order, name="order"),
    path("store/orders/<int:pk>/add-part/", orders.order_line_add, name="order_line_add"),
    path("store/orders/<int:pk>/send/", orders.order_send, name="order_send"),
    path("store/orders/<int:pk>/confirm/", orders.order_confirm, name="order_confirm"),
    path("store/orders/<int:pk>/end/<slug:after>/", orders.order_end, name="order_end"),
    path("store/letters/<int:pk>/", letters.order_letter, name="order_letter"),
    path("store/letters/<int:pk>/state/", letters.order_letter_state, name="order_letter_state"),
    path("store/letters/<int:pk>/again/", letters.order_letter_again, name="order_letter_again"),
    path("store/order-lines/<int:pk>/", orders.order_line, name="order_line"),
    path("store/order-lines/<int:pk>/off/", orders.order_line_drop, name="order_line_drop"),
    path("store/order-lines/<int:pk>/receive/", orders.order_receive, name="order_receive"),
]
