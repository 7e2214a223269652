"""Today's first migration, as it is."""  # noqa: N999 - Django names them so

from importlib import import_module

Migration = import_module("putback.web.store.migrations.0001_first_tables").Migration
