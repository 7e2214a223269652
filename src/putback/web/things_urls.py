"""Addresses of parts, joints, hardware, places, the logbook and of describing."""

from django.urls import URLPattern, path

from putback.web.pages.views import book, describe, exchange, hardware, partners, parts, places

V = "v/<str:logbook>"

urlpatterns: list[URLPattern] = [
    path("take-in", exchange.take_in, name="take_in"),
    path("take-in/confirm", exchange.confirm, name="take_in_confirm"),
    path(f"{V}/parts", parts.parts, name="parts"),
    path(f"{V}/part/<path:part>", parts.part, name="part"),
    path(f"{V}/joint/<path:joint>", parts.joint, name="joint"),
    path(f"{V}/hardware", hardware.hardware, name="hardware"),
    path(f"{V}/tag/<str:tag>", hardware.tag, name="tag"),
    path(f"{V}/places", places.places, name="places"),
    path(f"{V}/places/new", places.add_place, name="add_place"),
    path(f"{V}/partners", partners.partners, name="partners"),
    path(f"{V}/partners/look", partners.look, name="exchange_look"),
    path(f"{V}/partners/go", partners.go, name="exchange_go"),
    path(f"{V}/book", book.book, name="book"),
    path(f"{V}/book/strike", book.strike, name="strike"),
    path(f"{V}/book/late", book.late, name="late"),
    path(f"{V}/book/export", book.export, name="export"),
    path(f"{V}/book/entry/<str:entry>", book.entry, name="entry"),
    path(f"{V}/describe", describe.describe, name="describe"),
    path(f"{V}/describe/list", describe.import_list, name="import_list"),
    path(f"{V}/describe/template", describe.add_template, name="add_template"),
    path(f"{V}/describe/learned", describe.accept, name="accept"),
    path(f"{V}/describe/read/<str:table>", describe.read_back, name="read_back"),
    path(f"{V}/describe/all/<str:table>", describe.describe_table, name="describe_table"),
    path(
        f"{V}/describe/back/<str:table>/<path:identity>",
        describe.describe_back,
        name="describe_back",
    ),
    path(f"{V}/describe/new/<str:table>", describe.describe_one, name="describe_new"),
    path(
        f"{V}/describe/one/<str:table>/<path:identity>",
        describe.describe_one,
        name="describe_one",
    ),
]
