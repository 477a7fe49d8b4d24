from django.urls import path

from studio.cathodes import views

app_name = "cathodes"
urlpatterns = [
    path("", views.CathodesView.as_view(), name="list"),
    path("hang/", views.HangNewView.as_view(), name="hang_new"),
    path("recovered/", views.copper, name="recovered"),
    path("recovered.csv", views.copper_csv, name="recovered_csv"),
    path("copper/<int:pk>/", views.CopperInView.as_view(), name="copper_in"),
    path("<int:pk>/", views.CathodeView.as_view(), name="cathode"),
    path("<int:pk>/weigh/", views.weigh, name="weigh"),
    path("<int:pk>/hang/", views.hang, name="hang"),
    path("<int:pk>/replace/", views.ReplaceView.as_view(), name="replace"),
    path("<int:pk>/take-out/", views.take_out, name="take_out"),
    path("<int:pk>/measure/", views.MeasureView.as_view(), name="measure"),
]
