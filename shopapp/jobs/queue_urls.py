"""Addresses of the workers' queue and of batches."""

from django.urls import path

from shopapp.jobs.views import batches, queue

urlpatterns = [
    path("queue/", queue.queue, name="queue"),
    path("queue/counts/", queue.queue_counts, name="queue_counts"),
    # Before the kinds: "batches" is a word like theirs.
    path("queue/batches/ask/", batches.batch_ask, name="batch_ask"),
    path("queue/batches/<int:pk>/", batches.batch, name="batch"),
    path("queue/batches/<int:pk>/progress/", batches.batch_progress, name="batch_progress"),
    path("queue/batches/<int:pk>/stop/", batches.batch_stop, name="batch_stop"),
    path("queue/batches/<int:pk>/resume/", batches.batch_resume, name="batch_resume"),
    path("queue/batches/<int:pk>/papers/", batches.batch_papers, name="batch_papers"),
    path("queue/<slug:kind>/stop/", queue.queue_stop_all, name="queue_stop_all"),
    path("queue/<slug:kind>/again/", queue.queue_again_all, name="queue_again_all"),
    path("queue/<slug:kind>/<int:pk>/stop/", queue.queue_stop, name="queue_stop"),
    path("queue/<slug:kind>/<int:pk>/again/", queue.queue_again, name="queue_again"),
]
