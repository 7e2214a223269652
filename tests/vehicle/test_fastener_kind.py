"""The kinds of fastener: found by name, with what they do and whether they go into a bag."""

import pytest

from putback.errors import NotFound
from putback.vehicle.fastener import FastenerKind, Role, is_piece, kind_named, role_of
from putback.vehicle.fastener_kind import find_kind

# As a vehicle's description says what holds, locks and seals its joints, and how its runs end and
# are carried.
HOLDS = """
    bolt; setscrew; screw; countersunk screw; P-clip screw; nut; stud nut; castle nut; wheel
    nut; captive nut; spindle nut; spire nut; wing screw; hook bolt; pinch bolt; U-bolt;
    U-clamp; stud; clevis pin; shackle pin; grub screw; banjo bolt; key; keyed washer; taper;
    spline; dowel; rivet; circlip; belt; hose clip; push-on connector; bullet connector; ring
    terminal; sits in; spring; spring clip; turn stud; cap, threaded; glazing rubber; rubber;
    rubber pad; rubber strap; bonded rubber bush; bonded rubber mounting; bush; sleeve; spacer;
    cup washer; plain washer; thick washer; clamp plate; P-clip; loom clip; clip band; clip;
    bracket; abutment; guide; union nut; pipe nut; hose end; compression nut; gland nut; knurled
    nut; bezel nut; union; ball socket; cable nipple; cable end; trunnion screw; clamp screw;
    clamp terminal; clevis; block connector; bulb holder; rubber sleeve; tab; plug; press fit;
    bonded; welded
"""
LOCKS = """
    split pin; locking tab washer; spring washer; shakeproof washer; self-locking insert; locknut;
    threadlock; staking; lockwire; peened
"""
SEALS = """
    gasket; copper washer; fibre washer; olive; oil seal; O-ring; sealing ring; sealant; grommet;
    boot; felt strip; vapour sheet
"""
NO_PIECES = """
    taper; spline; sits in; welded; bonded; press fit; self-locking insert; sealant; threadlock;
    staking; peened; captive nut; pipe nut; union nut; hose end; push-on connector; bullet
    connector; ring terminal; clamp terminal; block connector; bulb holder; ball socket; cable
    nipple; cable end; clevis; bracket; abutment; guide; tab
"""


def words(text):
    """The words of a list above."""
    return [" ".join(word.split()) for word in text.split(";")]


@pytest.mark.parametrize(
    ("role", "names"), [(Role.HOLD, HOLDS), (Role.LOCK, LOCKS), (Role.SEAL, SEALS)]
)
def test_every_word_of_the_trade_has_a_kind_with_its_role(role, names):
    """What holds, locks and seals is known as that."""
    assert {name: role_of(kind_named(name)) for name in words(names)} == dict.fromkeys(
        words(names), role
    )


def test_only_what_comes_loose_is_a_piece():
    """What is made by the parts themselves, or stays on one, never goes into a bag."""
    assert {kind for kind in FastenerKind if not is_piece(kind)} == {
        kind_named(name) for name in words(NO_PIECES)
    }


@pytest.mark.parametrize(
    ("american", "british"),
    [
        ("lug nut", FastenerKind.WHEEL_NUT),
        ("Star Washer", FastenerKind.SHAKEPROOF_WASHER),
        ("snap  ring", FastenerKind.CIRCLIP),
        ("flat washer", FastenerKind.PLAIN_WASHER),
        ("jam nut", FastenerKind.LOCKNUT),
        ("hose clamp", FastenerKind.HOSE_CLIP),
    ],
)
def test_american_words_are_understood(american, british):
    """British in the files, either from the keyboard."""
    assert kind_named(american) is british


def test_an_unknown_kind_names_the_nearest():
    """A slip of the finger is answered with what was meant."""
    with pytest.raises(NotFound) as caught:
        kind_named("castel nut")
    assert str(caught.value).startswith(
        "no kind of fastener 'castel nut'; did you mean 'castle nut'"
    )


def test_the_longest_name_wins():
    """A castle nut is not a nut with an odd word before it."""
    assert find_kind("5/8 castle nuts, new") == (FastenerKind.CASTLE_NUT, "5/8 , new")
    assert find_kind("bonded rubber bush") == (FastenerKind.BONDED_BUSH, "")
    assert find_kind("a boltless thing") == (None, "a boltless thing")
