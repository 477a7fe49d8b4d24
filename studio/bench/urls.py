from django.urls import path

from studio.bench import views

app_name = "bench"
urlpatterns = [path("", views.bench, name="bench")]
