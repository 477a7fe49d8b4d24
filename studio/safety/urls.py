from django.urls import path

from studio.safety import urls_room
from studio.safety.views import classes, labels, reading

app_name = "safety"
urlpatterns = [
    path("", reading.overview, name="list"),
    path("open/materials/<int:pk>/", reading.open_material, name="open_material"),
    path("open/baths/<int:pk>/", reading.open_bath, name="open_bath"),
    path("open/drums/<int:pk>/", reading.open_drum, name="open_drum"),
    path("open/c/<slug:code>/", reading.open_container, name="open_container"),
    path("materials/<int:pk>/summary/", reading.material_paper, name="material_paper"),
    path("materials/<int:pk>/classes/", classes.copy_classes, name="copy_classes"),
    path("materials/<int:pk>/label/", labels.label_material, name="label_material"),
    path("baths/<int:pk>/summary/", reading.bath_paper, name="bath_paper"),
    path("baths/<int:pk>/label/", labels.label_bath, name="label_bath"),
    path("drums/<int:pk>/summary/", reading.drum_paper, name="drum_paper"),
    path("c/<slug:code>/label/", labels.label_container, name="label_container"),
    path("labels/<int:pk>/", labels.label_paper, name="label_paper"),
    *urls_room.urlpatterns,
]
