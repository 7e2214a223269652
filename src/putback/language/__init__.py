"""Saying in another language what Putback says in English.

Every floor, from planner to page, says what it says in English. Who reads another language is
told the same again (`retell.Reteller`), from one catalogue for app and paper (`catalogue`). What
a person wrote stays as they wrote it.
"""

from putback.language.catalogue import CODES, ENGLISH, GERMAN, rows_of
from putback.language.own import OwnNames
from putback.language.retell import Reteller, Told, reteller

__all__ = ["CODES", "ENGLISH", "GERMAN", "OwnNames", "Reteller", "Told", "reteller", "rows_of"]
