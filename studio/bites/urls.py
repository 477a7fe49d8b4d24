from django.urls import path

from studio.bites.views import efficiency, papers, planner, plates, running, written

app_name = "bites"
urlpatterns = [
    path("plates/", plates.plates, name="plates"),
    path("plates/new/", plates.new_plate, name="new_plate"),
    path("plates/send/", plates.send, name="send"),
    path("plates/back/", plates.bring_back, name="bring_back"),
    path("plates/parcels/<int:parcel>/", papers.parcel_note, name="parcel_note"),
    path("plates/<int:plate>/", plates.plate, name="plate"),
    path("plates/<int:plate>/prepare/", plates.prepare, name="prepare"),
    path("plates/<int:plate>/weigh/", plates.weigh, name="weigh"),
    path("plates/<int:plate>/bite/", running.start, name="start"),
    path("bites/", written.bites, name="bites"),
    path("bites/start/", running.choose, name="choose"),
    path("bites/start/unlisted/", running.start, name="start"),
    path("bites/write/", written.write_one, name="write"),
    path("bites/cards/", written.write_card, name="write_card"),
    path("bites/run-card/", papers.run_card, name="run_card"),
    path("bites/plan/", planner.plan, name="plan"),
    path("bites/efficiency/", efficiency.efficiency, name="efficiency"),
    path("bites/recipe/", planner.recipe, name="recipe"),
    path("bites/<int:bite>/", running.bite, name="bite"),
    path("bites/<int:bite>/clock/", running.clock, name="clock"),
    path("bites/<int:bite>/alarm.ics", running.alarm, name="alarm"),
    path("bites/<int:bite>/read/", running.read, name="read"),
    path("bites/<int:bite>/stop/", running.stop, name="stop"),
    path("bites/<int:bite>/stopped/", running.stopped, name="stopped"),
    path("bites/<int:bite>/put-right/", written.put_right, name="put_right"),
]
