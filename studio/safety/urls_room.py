"""What concerns the whole room: part of `studio.safety.urls`."""

from django.urls import path

from studio.safety.views import booklet, folder, opened, room, rooms

urlpatterns = [
    path("open/", opened.index, name="open"),
    path("open/kept.json", opened.kept_list, name="kept"),
    path("open/worker.js", opened.worker, name="worker"),
    path("open/wall/", room.wall_sheet, name="wall"),
    path("chemicals/", rooms.chemicals, name="chemicals"),
    path("chemicals/paper/", rooms.chemicals_paper, name="chemicals_paper"),
    path("chemicals.csv", rooms.chemicals_csv, name="chemicals_csv"),
    path("stood-where.csv", rooms.stays_csv, name="stays_csv"),
    path("together/", rooms.together, name="together"),
    path("booklet/", booklet.booklet, name="booklet"),
    path("booklet/<uuid:key>/", booklet.booklet_job, name="booklet_job"),
    path("booklet/<uuid:key>/paper/", booklet.booklet_paper, name="booklet_paper"),
    path("folder/", folder.folder, name="folder"),
    path("wall/", room.wall_paper, name="wall_paper"),
]
