"""The addresses of what is printed."""

from django.urls import URLPattern, path

from putback.web.pages.views import paper

urlpatterns: list[URLPattern] = [
    path("v/<str:logbook>/paper", paper.paper, name="paper"),
    path("v/<str:logbook>/paper/blank-tags", paper.blank_tags, name="blank_tags"),
    path("v/<str:logbook>/paper/make/<str:name>", paper.make, name="paper_made"),
]
"""Making a document changes nothing, so that it is asked for by GET; blank tags take codes."""
