"""The addresses by which people come in, and say who else may."""

from django.urls import path

from putback.web.pages.views import garage, hold, joining, me, people, sign_in, trust

urlpatterns = [
    path("in", sign_in.sign_in, name="sign_in"),
    path("out", sign_in.sign_out, name="sign_out"),
    path("start/<str:token>", joining.first_start, name="first_start"),
    path("join/<str:token>", joining.join, name="join"),
    path("new", garage.new_vehicle, name="new_vehicle"),
    path("demo", garage.demo, name="demo"),
    path("put-away", garage.put_away, name="put_away"),
    path("me", me.me, name="me"),
    path("me/token", me.make_token, name="make_token"),
    path("me/end", me.end_device, name="end_device"),
    path("me/like", me.like, name="like"),
    path("me/name", me.change_name, name="change_name"),
    path("me/password", me.change_password, name="change_password"),
    path("v/<str:logbook>/people", people.people, name="people"),
    path("v/<str:logbook>/people/invite", people.invite, name="invite"),
    path("v/<str:logbook>/people/withdraw", people.withdraw, name="withdraw"),
    path("v/<str:logbook>/people/role", people.change_role, name="change_role"),
    path("v/<str:logbook>/people/leave", people.leave, name="leave"),
    path("v/<str:logbook>/hold", hold.hold, name="hold"),
    path("v/<str:logbook>/hold/set", hold.set_hold, name="set_hold"),
    path("v/<str:logbook>/hold/lift", hold.lift_hold, name="lift_hold"),
    path("trust", trust.trust, name="trust"),
    path("trust/authority", trust.authority, name="authority"),
    path("trust/yes", trust.yes, name="trusted"),
]
