from django.urls import path

from studio.baths.views import log, papers, planner, writing

app_name = "baths"
urlpatterns = [
    path("", log.baths, name="list"),
    path("set-up/", writing.set_up, name="set_up"),
    path("adopt/", writing.adopt_new, name="adopt"),
    path("<int:pk>/", log.bath, name="bath"),
    path("<int:pk>/log/", log.log, name="log"),
    path("<int:pk>/log.csv", log.log_csv, name="log_csv"),
    path("<int:pk>/card/", papers.card, name="card"),
    path("<int:pk>/change/", writing.change, name="change"),
    path("<int:pk>/adopt/", writing.adopt, name="adopt"),
    path("<int:pk>/mix/", planner.mix, name="mix"),
    path("<int:pk>/top-up/", planner.top_up, name="top_up"),
    path("<int:pk>/add-solution/", writing.add_solution, name="add_solution"),
    path("<int:pk>/level/", writing.read_level, name="read_level"),
    path("<int:pk>/hydrometer/", writing.read_hydrometer, name="read_hydrometer"),
    path("<int:pk>/titration/", writing.titrate, name="titrate"),
    path("<int:pk>/drips/", writing.drips, name="drips"),
    path("<int:pk>/lid/", writing.cover, name="cover"),
    path("readings/<int:pk>/answer/", writing.answer, name="answer"),
]
