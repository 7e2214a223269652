"""What the templates of pages say, in German."""

import pytest

from tests.language.texts import is_known_somehow, template_texts


def test_every_text_of_every_template_is_told_in_german():
    """Whatever is put in for the values in it."""
    texts = list(template_texts())
    assert len(texts) > 800
    assert [each for each in texts if not is_known_somehow(each[1])] == []


@pytest.mark.parametrize("said", ["Nobody ever wrote this.", "Nobody \x02 wrote this."])
def test_a_text_without_a_row_is_noticed(said):
    """The test above can fail."""
    assert not is_known_somehow(said)
