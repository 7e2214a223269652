"""In which languages and terms somebody may have a paper, as a form offers them."""

from putback.paper.language import words_in
from putback.paper.terms import Terms
from putback.paper.words import Words

LANGUAGES = (("en", "English, British"), ("en american", "English, American"), ("de", "Deutsch"))
"""Language, and whose terms; each in its own words."""


def languages_for(spoken: str) -> tuple[tuple[str, str], ...]:
    """Give `LANGUAGES`, the one that a page is read in first: it is what is offered."""
    return tuple(sorted(LANGUAGES, key=lambda each: each[0] != spoken))


def words_chosen(said: str) -> Words:
    """Give the words of what was chosen; British English where nothing was.

    Raises
    ------
    NotFound
        It is none of `LANGUAGES`.
    """
    language, _, terms = (said or "en").partition(" ")
    return words_in(language, terms or Terms.BRITISH)


def chosen_of(words: Words) -> str:
    """Give what is chosen to have these words: what `words_chosen` reads."""
    return words.language if words.terms == Terms.BRITISH else f"{words.language} {words.terms}"


def language_called(words: Words) -> str:
    """Give what the language of these words is called on a form."""
    return dict(LANGUAGES)[chosen_of(words)]
