"""Django's settings as a module, for tools that want one: the type checker, makemigrations."""

from putback.web.settings import site_settings, sqlite

globals().update(site_settings(sqlite(":memory:")))
