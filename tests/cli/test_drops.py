"""``putback drops``: what comes down with a joint, and what to prop first."""


def test_it_tells_a_joint_with_what_to_do_first(demo):
    """The bonnet's hinges, with the words that somebody described."""
    said = demo.ok("drops 'bonnet hinges to shell'")
    assert "as described it falls: last bolt lets the bonnet slide back" in said.lower()
    assert "first: two people, one at each rear corner" in said
    assert said.rstrip().endswith("the maker's data win.")


def test_of_a_part_it_tells_all_its_joints(demo):
    """The carburettor has several, its hoses and cables included."""
    document = demo(line="drops part:EB04 --json").json
    assert document["subject"] == "part:EB04"
    assert len(document["drops"]) > 1
    assert {"joint", "does", "pieces", "prop_first", "people", "words", "ground", "assumed"} <= (
        document["drops"][0].keys()
    )


def test_without_a_name_it_tells_what_drops_in_the_next_steps(demo):
    """Only what lets something go, in the order of the plan."""
    document = demo(line="drops --json").json
    assert document["subject"] is None
    assert all(each["does"] not in ("stays", "in the hand") for each in document["drops"])


def test_nothing_is_claimed_of_a_vehicle_of_which_nothing_is_described(putback):
    """A name alone has no joints."""
    putback.ok("new cart")
    assert putback.ok("drops") == "Nothing drops in the next steps.\n"
