"""What planner, logbook and papers say in sentences is all said in German."""

from tests.language import sentences


def test_all_that_stands_on_papers_is_told_in_german():
    """Cards, tags, lists and what is open of a small car, its own words apart."""
    assert sentences.on_papers() == []


def test_all_that_a_plan_says_is_told_in_german():
    """Steps, reasons, cautions and cards of a generated vehicle, apart and together again."""
    assert sentences.of_generated(16, 1) == []


def test_a_sentence_without_a_row_is_seen():
    """The two tests would be worth nothing if they passed what nobody translated."""
    said = ["the gearbox is fond of rain", "the gearbox falls", "gearbox", "K7F4"]
    assert sentences.untold(said, {"gearbox"}) == [said[0]]
