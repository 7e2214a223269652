"""Forms that log."""

from putback.web.pages.act_form import read_act


def test_fields_are_gathered_by_the_entrys_number_in_their_order():
    """Entries come in the order of their numbers, each with the fields of its body."""
    fields = [("2.kind", "part off"), ("1.kind", "joint undone"), ("2.part", "p"), ("1.out", "4")]
    assert read_act(fields) == [
        {"kind": "joint undone", "out": "4"},
        {"kind": "part off", "part": "p"},
    ]


def test_numbers_in_a_path_make_a_list_and_brackets_gather_one():
    """Nested details and several values of one field become lists."""
    fields = [
        ("1.kind", "joint undone"),
        ("1.went.1.to", "scrap"),
        ("1.went.0.to", "tag"),
        ("1.went.0.count", "3"),
        ("1.of[]", "part:a"),
        ("1.of[]", "part:b"),
    ]
    assert read_act(fields) == [
        {
            "kind": "joint undone",
            "went": [{"to": "tag", "count": "3"}, {"to": "scrap"}],
            "of": ["part:a", "part:b"],
        }
    ]


def test_what_is_empty_or_no_entry_is_left_out():
    """A field left empty says nothing; tokens and addresses of the form are no entries."""
    fields = [("csrfmiddlewaretoken", "x"), ("next", "/"), ("1.kind", "note"), ("1.text", "")]
    assert read_act(fields) == [{"kind": "note"}]


def test_an_entry_without_a_kind_was_not_chosen():
    """A tick that bears the kind, left empty, leaves its whole entry out."""
    fields = [("1.kind", "note"), ("1.text", "x"), ("2.opening", "inlet"), ("3.kind", "note")]
    assert read_act(fields) == [{"kind": "note", "text": "x"}, {"kind": "note"}]


def test_a_field_of_several_entries_is_said_of_each():
    """Where a whole lies is asked once; an entry that was not chosen stays away."""
    fields = [
        ("1.kind", "note"),
        ("2.kind", "part off"),
        ("3.kind", "part off"),
        ("2-4.place", "barn"),
        ("9-2.place", "nowhere"),
    ]
    assert read_act(fields) == [
        {"kind": "note"},
        {"kind": "part off", "place": "barn"},
        {"kind": "part off", "place": "barn"},
    ]
