"""What is said of errors: what is wrong, where, and how to mend it, in every language there is."""

from tests.language.texts import is_known_somehow, raised_texts


def test_everything_that_an_error_is_raised_with_is_translated():
    """Whatever is put in; the command line's own errors are in English, like its helps."""
    texts = list(raised_texts())
    assert len(texts) > 500
    assert sorted({f"{file}: {text}" for file, text in texts if not is_known_somehow(text)}) == []
