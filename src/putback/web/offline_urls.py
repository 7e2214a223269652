"""Addresses by which a phone opens the app without a network."""

from django.urls import path

from putback.web.pages.views import offline

urlpatterns = [
    path("offline", offline.offline, name="offline"),
    path("static/<str:digest>/<str:name>", offline.joined, name="joined"),
    path("phone", offline.phone, name="phone"),
    path("worker.js", offline.worker, name="worker"),
    path("app.webmanifest", offline.manifest, name="manifest"),
]
