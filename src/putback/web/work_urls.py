"""Addresses of the work at hand: the next job, what became of it, packing up, picking up again."""

from django.urls import URLPattern, URLResolver, path

from putback.web.pages.views import (
    catch_up,
    in_hand,
    log,
    not_now,
    other_side,
    pack_up,
    resume,
    say,
    settle,
    stuck,
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("v/<str:logbook>/log/off", log.log_off, name="log_off"),
    path("v/<str:logbook>/say", say.say, name="say"),
    path("v/<str:logbook>/stuck", stuck.stuck, name="stuck"),
    path("v/<str:logbook>/not-now", not_now.not_now, name="not_now"),
    path("v/<str:logbook>/else", not_now.something_else, name="something_else"),
    path("v/<str:logbook>/other-side", other_side.other_side, name="other_side"),
    path("v/<str:logbook>/pack-up", pack_up.show_pack_up, name="pack_up"),
    path("v/<str:logbook>/in-hand", in_hand.in_hand, name="in_hand"),
    path("v/<str:logbook>/settle", settle.settle, name="settle"),
    path("v/<str:logbook>/resume", resume.resume, name="resume"),
    path("v/<str:logbook>/newcomer", resume.for_newcomer, name="newcomer"),
    path("v/<str:logbook>/catch-up", catch_up.catch_up, name="catch_up"),
]
