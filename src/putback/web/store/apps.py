"""The store as a Django app."""

from django.apps import AppConfig


class StoreConfig(AppConfig):
    """Tables of logbooks, and the ordinary tables beside them."""

    name = "putback.web.store"
    label = "store"
    verbose_name = "Logbooks"
