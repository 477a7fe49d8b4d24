from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LogoutView
from django.urls import path

from studio.people import views, views_inductions, views_tablet

app_name = "people"
urlpatterns = [
    path("", views.people, name="people"),
    path("sign-in/", views.SignIn.as_view(), name="sign_in"),
    path("sign-out/", login_not_required(LogoutView.as_view()), name="sign_out"),
    path("who/", views_tablet.Who.as_view(), name="who"),
    path("pin/", views_tablet.own_pin, name="own_pin"),
    path("tablets/", views_tablet.tablets, name="tablets"),
    path("tablets/mark/", views_tablet.mark, name="mark_tablet"),
    path("tablets/<int:pk>/take-off/", views_tablet.take_off, name="take_off_tablet"),
    path("password/", views.OwnPassword.as_view(), name="own_password"),
    path("add/", views.add, name="add"),
    path("inductions/", views_inductions.inductions, name="inductions"),
    path("inductions/paper/", views_inductions.paper, name="inductions_paper"),
    path("<int:pk>/induct/", views_inductions.induct, name="induct"),
    path("<int:pk>/", views.person, name="person"),
    path("<int:pk>/contact/", views.contact, name="contact"),
    path("<int:pk>/role/", views.role, name="role"),
    path("<int:pk>/account/", views.account, name="account"),
    path("<int:pk>/left/", views.left, name="left"),
]
