from django.urls import path

from studio.safety.views import booklet, classes, evidence, folder, labels, opened, places, reading, room, rooms

app_name = "safety"
urlpatterns = [
    path("", reading.OverviewView.as_view(), name="list"),
    path("open/", opened.OpenIndexView.as_view(), name="open"),
    path("open/kept.json", opened.kept_list, name="kept"),
    path("open/worker.js", opened.worker, name="worker"),
    path("open/wall/", room.WallView.as_view(), name="wall"),
    path("open/materials/<int:pk>/", reading.MaterialSummaryView.as_view(), name="open_material"),
    path("open/baths/<int:pk>/", reading.open_bath, name="open_bath"),
    path("open/drums/<int:pk>/", reading.open_drum, name="open_drum"),
    path("open/c/<slug:code>/", reading.open_container, name="open_container"),
    path("materials/<int:pk>/summary/", reading.material_paper, name="material_paper"),
    path("materials/<int:pk>/classes/", classes.CopyClassesView.as_view(), name="copy_classes"),
    path("materials/<int:pk>/label/", labels.label_material, name="label_material"),
    path("baths/<int:pk>/summary/", reading.bath_paper, name="bath_paper"),
    path("baths/<int:pk>/label/", labels.BathLabelView.as_view(), name="label_bath"),
    path("drums/<int:pk>/summary/", reading.drum_paper, name="drum_paper"),
    path("c/<slug:code>/label/", labels.ContainerLabelView.as_view(), name="label_container"),
    path("labels/<int:pk>/", labels.label_paper, name="label_paper"),
    path("wall/", room.wall_paper, name="wall_paper"),
    path("booklet/", booklet.booklet, name="booklet"),
    path("booklet/<uuid:key>/", booklet.booklet_job, name="booklet_job"),
    path("booklet/<uuid:key>/paper/", booklet.booklet_paper, name="booklet_paper"),
    path("chemicals/", rooms.ChemicalsView.as_view(), name="chemicals"),
    path("chemicals/paper/", rooms.chemicals_paper, name="chemicals_paper"),
    path("chemicals.csv", rooms.chemicals_csv, name="chemicals_csv"),
    path("stood-where.csv", rooms.stays_csv, name="stays_csv"),
    path("places/<int:pk>/", places.place, name="place"),
    path("together/", rooms.TogetherView.as_view(), name="together"),
    path("evidence/", evidence.EvidenceView.as_view(), name="evidence"),
    path("evidence/paper/", evidence.evidence_paper, name="evidence_paper"),
    path("evidence.csv", evidence.evidence_csv, name="evidence_csv"),
    path("folder/", folder.folder, name="folder"),
]
