"""Celery: only a bell. It runs the very function that the embedded worker runs."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapp.settings")

app = Celery("shopapp")
app.config_from_object("django.conf:settings", namespace="CELERY")
# A page that rings the bell must not hang on a broker that is away.
app.conf.broker_transport_options = {
    "socket_connect_timeout": 2,
    "socket_timeout": 5,
    "max_retries": 0,
    "interval_start": 0,
}
app.autodiscover_tasks()
