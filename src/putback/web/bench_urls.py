"""Addresses of the bench: the workshop's calculators."""

from django.urls import URLPattern, path

from putback.web.pages.views import bench

urlpatterns: list[URLPattern] = [
    path("bench/", bench.bench, name="bench"),
    path("bench/away", bench.away, name="bench_away"),
    path("bench/<str:name>", bench.calculator, name="calculator"),
    path("bench/<str:name>/pdf", bench.printed, name="answer_printed"),
    path("bench/<str:name>/keep", bench.keep, name="keep_answer"),
]
