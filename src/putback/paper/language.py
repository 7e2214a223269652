"""The languages that paper is printed in, and whose words of the trade."""

from dataclasses import replace

from putback.errors import BadInput, NotFound
from putback.language import CODES
from putback.paper.terms import Terms
from putback.paper.words import ENGLISH, Words


def words_in(language: str, terms: str = Terms.BRITISH) -> Words:
    """Give the words of a language, in British or American terms.

    Raises
    ------
    NotFound
        If there is no such language, or nobody's terms are called so.
    BadInput
        If American terms are wanted in another language than English.
    """
    code, whose = language.casefold().strip(), terms.casefold().strip()
    if code not in CODES:
        raise NotFound("language of paper", language, CODES)
    if whose not in set(Terms):
        raise NotFound("words of the trade", terms, tuple(Terms))
    if whose == Terms.AMERICAN and code != ENGLISH.language:
        raise BadInput(
            "American terms are English words", mend="choose English, or leave the terms as usual"
        )
    return replace(ENGLISH, language=code, terms=Terms(whose))
