from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LogoutView
from django.urls import path

from studio.people.views import invitations, mail, people, second_factor, tablet

app_name = "people"
urlpatterns = [
    path("", people.people, name="people"),
    path("sign-in/", people.SignInView.as_view(), name="sign_in"),
    path("sign-out/", login_not_required(LogoutView.as_view()), name="sign_out"),
    path("who/", tablet.WhoView.as_view(), name="who"),
    path("pin/", tablet.own_pin, name="own_pin"),
    path("tablets/", tablet.tablets, name="tablets"),
    path("tablets/mark/", tablet.MarkTabletView.as_view(), name="mark_tablet"),
    path("tablets/<int:pk>/take-off/", tablet.take_off, name="take_off_tablet"),
    path("code/", second_factor.code, name="code"),
    path("second-factor/", second_factor.own, name="second_factor"),
    path("stays/", people.stays, name="stays"),
    path("password/", people.OwnPassword.as_view(), name="own_password"),
    path("add-several/", invitations.MembersView.as_view(), name="add_several"),
    path("invite/", invitations.InviteView.as_view(), name="invite"),
    path("slips/", invitations.slips, name="slips"),
    path("mail/", mail.own, name="mail"),
    path("mail/test/", mail.test, name="test_mail"),
    path("mail/<int:pk>/", mail.decide, name="decide_mail"),
    path("come-in/<slug:secret>/", invitations.come_in, name="come_in"),
    path("inductions/several/", people.InductSeveralView.as_view(), name="induct_several"),
    path("inductions/", people.who_is_inducted, name="inductions"),
    path("inductions/paper/", people.inductions_paper, name="inductions_paper"),
    path("<int:pk>/induct/", people.induct, name="induct"),
    path("<int:pk>/", people.person, name="person"),
    path("<int:pk>/contact/", people.ContactView.as_view(), name="contact"),
    path("<int:pk>/role/", people.RoleView.as_view(), name="role"),
    path("<int:pk>/nameless/", people.take_name_out, name="take_name_out"),
    path("<int:pk>/invite/", invitations.InviteOneView.as_view(), name="invite_one"),
    path("<int:pk>/take-back/", invitations.take_back, name="take_back"),
    path("<int:pk>/left/", people.left, name="left"),
]
