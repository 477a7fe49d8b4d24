from django.urls import path

from studio.bench.views import bench, closing, year

app_name = "bench"
urlpatterns = [
    path("", bench.bench, name="bench"),
    path("needs/", bench.needs_of_the_day, name="needs"),
    path("everything.zip", closing.take_everything, name="everything"),
    path("year/", year.YearView.as_view(), name="year"),
    path("year/paper/", year.year_paper, name="year_paper"),
    path("closing/", closing.lists, name="closing"),
    path("closing/<slug:which>/", closing.closing_list, name="closing_list"),
    path("closing/<slug:which>/paper/", closing.closing_paper, name="closing_paper"),
    path("closing/<slug:which>/tick/", closing.tick, name="tick"),
]
