"""The addresses of what is printed."""

from django.urls import URLPattern, path

from putback.web.pages.views import paper

urlpatterns: list[URLPattern] = [
    path("v/<str:logbook>/paper", paper.paper, name="paper"),
    path("v/<str:logbook>/paper/blank-tags", paper.blank_tags, name="blank_tags"),
    path("v/<str:logbook>/paper/make/<str:name>", paper.make, name="paper_made"),
    path("v/<str:logbook>/paper/order/<str:name>", paper.order, name="paper_order"),
    path("v/<str:logbook>/paper/kept/<str:slip>", paper.fetch, name="paper_kept"),
]
"""Making a document changes nothing, so that it is asked for by GET; blank tags take codes.
What takes long is ordered by POST, and fetched from where it is kept."""
