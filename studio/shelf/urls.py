from django.urls import path

from studio.shelf import views

app_name = "shelf"
urlpatterns = [
    path("", views.shelf, name="shelf"),
    path("receive/", views.choose_material, name="receive"),
    path("receive/<int:pk>/", views.receive, name="receive"),
    path("use/", views.choose_container, name="use"),
    path("materials/new/", views.new_material, name="new_material"),
    path("materials/<int:pk>/", views.material, name="material"),
    path("materials/<int:pk>/change/", views.change_material, name="change_material"),
    path("places/new/", views.new_place, name="new_place"),
    path("c/<slug:code>/", views.container, name="container"),
    path("c/<slug:code>/use/", views.use, name="use"),
    path("c/<slug:code>/count/", views.count, name="count"),
    path("c/<slug:code>/move/", views.move, name="move"),
]
