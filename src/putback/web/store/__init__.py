"""The store of logbooks in a database, and of photos in a folder: `setup` opens it."""

from putback.web.store.connect import Opened, home_folder, setup

__all__ = ["Opened", "home_folder", "setup"]
