"""Today's second migration, as it is."""  # noqa: N999 - Django names them so

from importlib import import_module

Migration = import_module("putback.web.store.migrations.0002_plans").Migration
