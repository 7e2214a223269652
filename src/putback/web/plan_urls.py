"""The addresses of the pages of plans, and of what is asked about them."""

from django.urls import path

from putback.web.pages.views import asked, calendar, reach, rebuild, strip, ties, what_if, why

urlpatterns = [
    path("v/<str:logbook>/strip", strip.strip, name="strip"),
    path("v/<str:logbook>/strip/afresh", strip.afresh, name="strip_afresh"),
    path("v/<str:logbook>/strip/choose", strip.choose, name="strip_choose"),
    path("v/<str:logbook>/rebuild", rebuild.rebuild, name="rebuild"),
    path("v/<str:logbook>/rebuild/afresh", rebuild.afresh, name="rebuild_afresh"),
    path("v/<str:logbook>/rebuild/choose", rebuild.choose, name="rebuild_choose"),
    path("v/<str:logbook>/reach", reach.reach, name="reach"),
    path("v/<str:logbook>/ties", ties.ties, name="ties"),
    path("v/<str:logbook>/why", why.why, name="why"),
    path("v/<str:logbook>/what-if", what_if.what_if, name="what_if"),
    path("v/<str:logbook>/calendar", calendar.calendar, name="calendar"),
    path("v/<str:logbook>/calendar/days.ics", calendar.days_file, name="calendar_days"),
    path("v/<str:logbook>/asked/<str:slip>", asked.look, name="asked"),
    path("v/<str:logbook>/asked/<str:slip>/stop", asked.stop, name="asked_stop"),
    path("v/<str:logbook>/asked/<str:slip>/again", asked.again, name="asked_again"),
]
