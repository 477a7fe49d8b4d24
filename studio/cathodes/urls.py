from django.urls import path

from studio.cathodes.views import reading, writing

app_name = "cathodes"
urlpatterns = [
    path("", reading.CathodesView.as_view(), name="list"),
    path("hang/", writing.HangNewView.as_view(), name="hang_new"),
    path("recovered/", reading.copper, name="recovered"),
    path("recovered.csv", reading.copper_csv, name="recovered_csv"),
    path("copper/<int:pk>/", writing.CopperInView.as_view(), name="copper_in"),
    path("<int:pk>/", reading.CathodeView.as_view(), name="cathode"),
    path("<int:pk>/weigh/", writing.weigh, name="weigh"),
    path("<int:pk>/hang/", writing.hang, name="hang"),
    path("<int:pk>/take-out/", writing.take_out, name="take_out"),
    path("<int:pk>/measure/", writing.MeasureView.as_view(), name="measure"),
]
