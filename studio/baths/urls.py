from django.urls import path

from studio.baths.views import log, papers, planner, writing

app_name = "baths"
urlpatterns = [
    path("", log.BathsView.as_view(), name="list"),
    path("set-up/", writing.set_up, name="set_up"),
    path("adopt/", writing.adopt_new, name="adopt"),
    path("<int:pk>/", log.BathView.as_view(), name="bath"),
    path("<int:pk>/log/", log.log, name="log"),
    path("<int:pk>/log.csv", log.log_csv, name="log_csv"),
    path("<int:pk>/card/", papers.card, name="card"),
    path("<int:pk>/change/", writing.ChangeBathView.as_view(), name="change"),
    path("<int:pk>/adopt/", writing.AdoptBathView.as_view(), name="adopt"),
    path("<int:pk>/mix/", planner.MixView.as_view(), name="mix"),
    path("<int:pk>/top-up/", planner.TopUpView.as_view(), name="top_up"),
    path("<int:pk>/what-if/", planner.what_if, name="what_if"),
    path("<int:pk>/add-solution/", writing.add_solution, name="add_solution"),
    path("<int:pk>/pour/", writing.pour_into, name="pour_into"),
    path("<int:pk>/level/", writing.read_level, name="read_level"),
    path("<int:pk>/hydrometer/", writing.read_hydrometer, name="read_hydrometer"),
    path("<int:pk>/titration/", writing.titrate, name="titrate"),
    path("<int:pk>/acid/", writing.add_acid, name="add_acid"),
    path("<int:pk>/acid/read/", writing.read_acid, name="read_acid"),
    path("<int:pk>/drips/", writing.drips, name="drips"),
    path("<int:pk>/lid/", writing.CoverView.as_view(), name="cover"),
    path("readings/<int:pk>/answer/", writing.AnswerView.as_view(), name="answer"),
]
