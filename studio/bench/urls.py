from django.urls import path

from studio.bench import views, views_closing

app_name = "bench"
urlpatterns = [
    path("", views.bench, name="bench"),
    path("needs/<slug:slug>/", views.group, name="group"),
    path("everything.zip", views_closing.take_everything, name="everything"),
    path("closing/", views_closing.lists, name="closing"),
    path("closing/<slug:which>/", views_closing.closing_list, name="closing_list"),
    path("closing/<slug:which>/paper/", views_closing.closing_paper, name="closing_paper"),
    path("closing/<slug:which>/tick/", views_closing.tick, name="tick"),
]
