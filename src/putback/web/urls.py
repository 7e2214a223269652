"""Every address of the site. Who may ask for what stands beside each view: `for_role`."""

from django.urls import URLPattern, URLResolver, path

from putback.web.api import api
from putback.web.pages.views import (
    book,
    exchange,
    garage,
    hardware,
    log,
    now,
    parts,
    places,
    sign_in,
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("", garage.garage, name="garage"),
    path("new", garage.new_vehicle, name="new_vehicle"),
    path("in", sign_in.sign_in, name="sign_in"),
    path("out", sign_in.sign_out, name="sign_out"),
    path("take-in", exchange.take_in, name="take_in"),
    path("take-in/confirm", exchange.confirm, name="take_in_confirm"),
    path("v/<str:logbook>/", now.now, name="now"),
    path("v/<str:logbook>/log", log.log, name="log"),
    path("v/<str:logbook>/parts", parts.parts, name="parts"),
    path("v/<str:logbook>/part/<path:part>", parts.part, name="part"),
    path("v/<str:logbook>/joint/<path:joint>", parts.joint, name="joint"),
    path("v/<str:logbook>/hardware", hardware.hardware, name="hardware"),
    path("v/<str:logbook>/tag/<str:tag>", hardware.tag, name="tag"),
    path("v/<str:logbook>/places", places.places, name="places"),
    path("v/<str:logbook>/places/new", places.add_place, name="add_place"),
    path("v/<str:logbook>/book", book.book, name="book"),
    path("v/<str:logbook>/book/strike", book.strike, name="strike"),
    path("v/<str:logbook>/book/late", book.late, name="late"),
    path("v/<str:logbook>/book/export", book.export, name="export"),
    path("v/<str:logbook>/book/entry/<str:entry>", book.entry, name="entry"),
    path("api/", api.urls),
]

handler400 = "putback.web.pages.trouble.not_understood"
handler403 = "putback.web.pages.trouble.not_allowed"
handler404 = "putback.web.pages.trouble.not_here"
handler500 = "putback.web.pages.trouble.broken"
