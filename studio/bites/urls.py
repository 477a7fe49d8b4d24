from django.urls import path

from studio.bites.views import log_sheet, papers, planner, plates, running, written

app_name = "bites"
urlpatterns = [
    path("plates/", plates.PlatesView.as_view(), name="plates"),
    path("plates/new/", plates.new_plate, name="new_plate"),
    path("plates/send/", plates.send, name="send"),
    path("plates/back/", plates.bring_back, name="bring_back"),
    path("plates/parcels/<int:parcel>/", papers.parcel_note, name="parcel_note"),
    path("plates/<int:plate>/", plates.PlateView.as_view(), name="plate"),
    path("plates/<int:plate>/prepare/", plates.PrepareView.as_view(), name="prepare"),
    path("plates/<int:plate>/weigh/", plates.weigh, name="weigh"),
    path("plates/<int:plate>/photograph/", plates.PhotographView.as_view(), name="add_photographs"),
    path("plates/photographs/<int:photo>/", plates.photograph, name="photograph"),
    path("plates/photographs/<int:photo>/small/", plates.photograph, {"size": "small"}, name="small_photograph"),
    path("plates/<int:plate>/bite/", running.StartView.as_view(), name="start"),
    path("bites/", written.BitesView.as_view(), name="bites"),
    path("bites/start/", running.choose, name="choose"),
    path("bites/start/unlisted/", running.StartView.as_view(), name="start"),
    path("bites/write/", written.WriteBiteView.as_view(), name="write"),
    path("bites/cards/", written.write_card, name="write_card"),
    path("bites/run-card/", papers.run_card, name="run_card"),
    path("bites/log-sheet/<int:pk>/", log_sheet.paper, name="log_sheet"),
    path("bites/log-sheet/<int:pk>/type/", log_sheet.type_in, name="type_log_sheet"),
    path("bites/plan/", planner.plan, name="plan"),
    path("bites/efficiency/", planner.EfficiencyView.as_view(), name="efficiency"),
    path("bites/recipe/", planner.recipe, name="recipe"),
    path("bites/<int:bite>/", running.BiteView.as_view(), name="bite"),
    path("bites/<int:bite>/clock/", running.clock, name="clock"),
    path("bites/<int:bite>/alarm.ics", running.alarm, name="alarm"),
    path("bites/<int:bite>/read/", running.read, name="read"),
    path("bites/<int:bite>/stop/", running.stop, name="stop"),
    path("bites/<int:bite>/stopped/", running.StoppedView.as_view(), name="stopped"),
    path("bites/<int:bite>/put-right/", written.PutRightView.as_view(), name="put_right"),
]
