from django.urls import path

from studio.safety.views import reading

app_name = "safety"
urlpatterns = [
    path("open/materials/<int:pk>/", reading.open_material, name="open_material"),
    path("open/baths/<int:pk>/", reading.open_bath, name="open_bath"),
    path("open/c/<slug:code>/", reading.open_container, name="open_container"),
    path("materials/<int:pk>/summary/", reading.material_paper, name="material_paper"),
    path("baths/<int:pk>/summary/", reading.bath_paper, name="bath_paper"),
]
