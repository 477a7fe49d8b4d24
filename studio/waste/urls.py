from django.urls import path

from studio.waste.views import advice, balance, incidents, papers, reading, rules, sources, writing

app_name = "waste"
urlpatterns = [
    path("", reading.drums, name="drums"),
    path("start/", writing.start_drum, name="start_drum"),
    path("<int:pk>/", reading.drum, name="drum"),
    path("<int:pk>/deposit/", writing.deposit, name="deposit"),
    path("<int:pk>/pour-over/", writing.pour_over, name="pour_over"),
    path("<int:pk>/look-over/", writing.look_over, name="look_over"),
    path("<int:pk>/weigh/", writing.weigh, name="weigh"),
    path("<int:pk>/test/", writing.test, name="test"),
    path("<int:pk>/label/", papers.label, name="label"),
    path("test/<int:pk>/report/", papers.report_of_test, name="report_of_test"),
    path("balance/", balance.balance, name="balance"),
    path("bath/<int:pk>/strain/", sources.strain, name="strain"),
    path("bath/<int:pk>/take-out/", sources.take_out, name="take_out"),
    path("cathode/<int:pk>/strip/", sources.strip, name="strip"),
    path("jar/<str:code>/", sources.discard, name="discard"),
    path("incidents/", incidents.incidents, name="incidents"),
    path("incidents/report/", incidents.report, name="report"),
    path("incidents/<int:pk>/", incidents.incident, name="incident"),
    path("incidents/<int:pk>/follow-up/", incidents.follow_up, name="follow_up"),
    path("rules/", rules.rule_sets, name="rule_sets"),
    path("advice/", advice.advice, name="advice"),
    path("advice/add/<slug:kind>/", advice.add_advice, name="add_advice"),
    path("advice/<int:pk>/", advice.one_advice, name="one_advice"),
    path("advice/<int:pk>/document/", advice.advice_document, name="advice_document"),
]
