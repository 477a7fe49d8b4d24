"""What concerns the whole room: part of `studio.safety.urls`."""

from django.urls import path

from studio.safety.views import room

urlpatterns = [
    path("open/wall/", room.wall_sheet, name="wall"),
    path("wall/", room.wall_paper, name="wall_paper"),
]
