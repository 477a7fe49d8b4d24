from django.urls import URLPattern

app_name = "waste"

urlpatterns: list[URLPattern] = []
