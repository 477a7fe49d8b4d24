from django.urls import path

from studio.cathodes.views import reading, writing

app_name = "cathodes"
urlpatterns = [
    path("", reading.cathodes, name="list"),
    path("hang/", writing.hang_new, name="hang_new"),
    path("recovered/", reading.copper, name="recovered"),
    path("recovered.csv", reading.copper_csv, name="recovered_csv"),
    path("copper/<int:pk>/", writing.copper_in, name="copper_in"),
    path("<int:pk>/", reading.cathode, name="cathode"),
    path("<int:pk>/weigh/", writing.weigh, name="weigh"),
    path("<int:pk>/hang/", writing.hang, name="hang"),
    path("<int:pk>/take-out/", writing.take_out, name="take_out"),
    path("<int:pk>/measure/", writing.measure, name="measure"),
]
