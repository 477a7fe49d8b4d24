from django.urls import path

from studio.waste.views import reading, writing

app_name = "waste"
urlpatterns = [
    path("", reading.drums, name="drums"),
    path("start/", writing.start_drum, name="start_drum"),
    path("<int:pk>/", reading.drum, name="drum"),
    path("<int:pk>/deposit/", writing.deposit, name="deposit"),
]
