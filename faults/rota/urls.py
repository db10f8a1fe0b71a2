"""Addresses of suggested rotas."""

from django.urls import path

from faults.rota import views

patterns = [
    path("jobs/<ref:ref>/priority/", views.JobPriority.as_view(), name="job_priority"),
    path("jobs/<ref:ref>/priority/proposed/", views.proposed_priority, name="job_proposed"),
    path("moves/board/priorities/", views.priorities, name="priorities"),
    path("moves/board/priorities/many/", views.PriorityMany.as_view(), name="priorities_many"),
    path("moves/board/suggest/", views.suggest, name="rota_suggest"),
    path("moves/board/suggest/<ref:ref>/", views.suggestion, name="rota"),
    path("moves/board/suggest/<ref:ref>/progress/", views.progress, name="rota_progress"),
    path("moves/board/suggest/<ref:ref>/stop/", views.stop, name="rota_stop"),
    path("moves/board/suggest/<ref:ref>/take/", views.take, name="rota_take"),
]
