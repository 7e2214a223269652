"""Django's settings as a module, for tools that want one: the type checker, makemigrations."""

from putback.web.settings import sqlite, store_settings

globals().update(store_settings(sqlite(":memory:")))
