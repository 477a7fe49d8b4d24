from django.urls import path

from studio.workshop import views

app_name = "workshop"
urlpatterns = [
    path("", views.studio, name="studio"),
    path("change/", views.ChangeSettingsView.as_view(), name="change"),
    path("begin-own/", views.begin_own, name="begin_own"),
]
