"""The JSON API: what pages, phones and programs log and ask through."""

from putback.web.api.main import api

__all__ = ["api"]
