"""What concerns the whole room: part of `studio.safety.urls`."""

from django.urls import path

from studio.safety.views import opened, room

urlpatterns = [
    path("open/", opened.index, name="open"),
    path("open/kept.json", opened.kept_list, name="kept"),
    path("open/worker.js", opened.worker, name="worker"),
    path("open/wall/", room.wall_sheet, name="wall"),
    path("wall/", room.wall_paper, name="wall_paper"),
]
