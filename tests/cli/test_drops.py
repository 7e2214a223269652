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
    """A name alone has no joints: nobody is told that nothing drops."""
    putback.ok("new cart")
    told = putback.ok("drops")
    assert told.startswith("Nobody described what is fixed to what, so what drops is not known.\n")
    assert "Prop and look yourself" in told


def test_parts_without_a_joint_are_told_as_unknown(putback):
    """One joint is described, and a third part: of that nothing is known."""
    putback.ok("new cart")
    for part in ("frame", "lid", "tank"):
        putback.ok(f"describe parts {part} name={part}")
    putback.ok('describe joints lid-frame name=lid-frame parts=\'["lid", "frame"]\'')
    told = putback.ok("drops").split()
    assert "Of 1 part that is on, no joint is described" in " ".join(told)
    assert putback("drops", "--json").json["unknown"] == ["tank"]
