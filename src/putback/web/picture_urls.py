"""Addresses of what is seen: photos, and the vehicle drawn."""

from django.urls import URLPattern, URLResolver, path

from putback.web.pages.views import photos, vehicle_view

urlpatterns: list[URLPattern | URLResolver] = [
    path("v/<str:logbook>/vehicle", vehicle_view.vehicle_view, name="vehicle_view"),
    path("v/<str:logbook>/photos", photos.photos, name="photos"),
    path("v/<str:logbook>/photos/<str:photo>", photos.photo, name="photo"),
]
