"""In which languages and terms somebody may have a paper, as a form offers them."""

from putback.paper.language import words_in
from putback.paper.terms import Terms
from putback.paper.words import Words

LANGUAGES = (("en", "English, British"), ("en american", "English, American"), ("de", "Deutsch"))
"""Language, and whose terms; each in its own words."""


def words_chosen(said: str) -> Words:
    """Give the words of what was chosen; British English where nothing was.

    Raises
    ------
    NotFound
        It is none of `LANGUAGES`.
    """
    language, _, terms = (said or "en").partition(" ")
    return words_in(language, terms or Terms.BRITISH)
