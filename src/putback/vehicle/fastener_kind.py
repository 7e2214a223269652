"""The kinds of fastener, each with what it does in a joint and what its specification may hold.

A closed set in the trade's words. It is wider than the word fastener: whatever holds, locks or
seals a joint is one, down to the taper that is no piece at all.
"""

import re
from collections.abc import Mapping
from difflib import get_close_matches
from enum import Enum, StrEnum, auto
from typing import Self

from putback.errors import NotFound


class Role(StrEnum):
    """What a fastener does in its joint; three questions, never one."""

    HOLD = "hold"  # keeps the parts together
    LOCK = "lock"  # keeps it from coming undone
    SEAL = "seal"  # keeps it tight


class Form(Enum):
    """What a specification of this kind may hold."""

    STEM = auto()  # a thread and a length: bolts, screws, studs
    RING = auto()  # a thread and no length: nuts, caps, unions
    PIN = auto()  # a diameter and a length, no thread
    SHAPE = auto()  # a size in words or measures
    TRAIT = auto()  # as SHAPE, but never in the hand: made by or staying on the parts themselves
    RING_TRAIT = auto()  # as RING, but staying on its part


_THREADED = frozenset({Form.STEM, Form.RING, Form.RING_TRAIT})
_LENGTHY = frozenset({Form.STEM, Form.PIN})
_TRAITS = frozenset({Form.TRAIT, Form.RING_TRAIT})


class FastenerKind(StrEnum):
    """What sort of thing it is; the value is how it is written."""

    form: Form
    role: Role

    def __new__(cls, value: str, form: Form, role: Role = Role.HOLD) -> Self:
        """Keep what the kind may hold and what it does beside its word."""
        kind = str.__new__(cls, value)
        kind._value_ = value
        kind.form = form
        kind.role = role
        return kind

    # --- threaded, with a length ---
    BOLT = "bolt", Form.STEM  # goes through or into a thread, tightened by its head
    SETSCREW = "setscrew", Form.STEM  # a bolt threaded to the head
    SCREW = "screw", Form.STEM  # small, driven by a slot, a cross or a socket
    COUNTERSUNK_SCREW = "countersunk screw", Form.STEM  # its head lies flush
    P_CLIP_SCREW = "P-clip screw", Form.STEM  # holds a P-shaped clip
    WING_SCREW = "wing screw", Form.STEM  # turned by hand
    GRUB_SCREW = "grub screw", Form.STEM  # no head; bears by its point
    CLAMP_SCREW = "clamp screw", Form.STEM  # nips a bare wire in its terminal
    TRUNNION_SCREW = "trunnion screw", Form.STEM  # nips an inner cable in its pivot
    PINCH_BOLT = "pinch bolt", Form.STEM  # closes a split clamp
    HOOK_BOLT = "hook bolt", Form.STEM  # one end bent
    BANJO_BOLT = "banjo bolt", Form.STEM  # hollow; fluid passes through it
    U_BOLT = "U-bolt", Form.STEM  # two legs over a tube
    U_CLAMP = "U-clamp", Form.STEM  # a U-bolt with its saddle, for exhausts
    STUD = "stud", Form.STEM  # threaded at both ends; usually stays in its part
    SHACKLE_PIN = "shackle pin", Form.STEM  # a pivot with a thread at one end

    # --- threaded, without a length ---
    NUT = "nut", Form.RING  # on a bolt or a stud
    STUD_NUT = "stud nut", Form.RING  # on a stud that stays
    CASTLE_NUT = "castle nut", Form.RING  # slotted for a split pin
    SELF_LOCKING_NUT = "self-locking nut", Form.RING  # its ring grips the thread; new each time
    WHEEL_NUT = "wheel nut", Form.RING  # taper or flat seat
    SPINDLE_NUT = "spindle nut", Form.RING  # thin, round a spindle
    SPIRE_NUT = "spire nut", Form.RING  # sprung sheet
    WING_NUT = "wing nut", Form.RING  # turned by hand
    KNURLED_NUT = "knurled nut", Form.RING  # round, turned by fingers: cable drives
    BEZEL_NUT = "bezel nut", Form.RING  # ring that holds a switch or a knob to its panel
    GLAND_NUT = "gland nut", Form.RING  # squeezes packing or a bulb on its seat
    THREADED_CAP = "threaded cap", Form.RING  # screwed on
    PLUG = "plug", Form.RING  # screwed in: drain, filler, core
    UNION = "union", Form.RING  # a screwed fitting between pipes or hoses

    # --- threaded, and staying on their part ---
    CAPTIVE_NUT = "captive nut", Form.RING_TRAIT  # caged or welded; may spin
    PIPE_NUT = "pipe nut", Form.RING_TRAIT  # kept on its pipe by the flare
    UNION_NUT = "union nut", Form.RING_TRAIT  # kept on its pipe by a nipple or an olive
    HOSE_END = "hose end", Form.RING_TRAIT  # crimped to its hose, fixed or turning

    # --- pins ---
    CLEVIS_PIN = "clevis pin", Form.PIN  # plain, with a hole for a split pin
    COTTER = "cotter", Form.PIN  # a wedge with a flat, drawn in by its nut; no split pin
    ROLL_PIN = "roll pin", Form.PIN  # sprung tube, driven
    DOWEL = "dowel", Form.PIN  # places two parts
    RIVET = "rivet", Form.PIN  # drilled out, not undone

    # --- turning and sliding ---
    KEY = "key", Form.SHAPE  # square or half-moon; carries the turning
    KEYED_WASHER = "keyed washer", Form.SHAPE  # with a flat or a tongue
    TAPER = "taper", Form.TRAIT  # cone in a cone; jumps free
    SPLINE = "spline", Form.TRAIT  # teeth along a shaft
    CIRCLIP = "circlip", Form.SHAPE  # sprung ring in a groove
    BELT = "belt", Form.SHAPE  # runs round pulleys
    SPRING = "spring", Form.SHAPE  # a loose spring piece

    # --- clips and bands ---
    HOSE_CLIP = "hose clip", Form.SHAPE  # band round a hose
    CLIP_BAND = "clip band", Form.SHAPE  # strap round a pipe or a loom
    P_CLIP = "P-clip", Form.SHAPE  # carries a pipe or a loom
    LOOM_CLIP = "loom clip", Form.SHAPE  # soft strap bent round a loom
    SPRING_CLIP = "spring clip", Form.SHAPE  # pushed in; often breaks
    CLIP = "clip", Form.SHAPE  # any other
    TURN_STUD = "turn stud", Form.SHAPE  # quarter turn
    BRACKET = "bracket", Form.TRAIT  # carries a cable or a hose, part of the vehicle
    ABUTMENT = "abutment", Form.TRAIT  # where an outer cable ends
    GUIDE = "guide", Form.TRAIT  # a cable runs through it
    TAB = "tab", Form.TRAIT  # bent over

    # --- ends of wires, cables and hoses ---
    PUSH_ON = "push-on connector", Form.TRAIT  # pushed over a stub, blade or tail
    BULLET = "bullet connector", Form.TRAIT  # round pin in a sleeve
    RING_TERMINAL = "ring terminal", Form.TRAIT  # eye under a screw or a nut
    CLAMP_TERMINAL = "clamp terminal", Form.TRAIT  # round a battery post
    BLOCK_CONNECTOR = "block connector", Form.TRAIT  # many wires in one housing
    BULB_HOLDER = "bulb holder", Form.TRAIT  # pushed or turned into its lamp
    BALL_SOCKET = "ball socket", Form.TRAIT  # snaps over a ball
    CABLE_NIPPLE = "cable nipple", Form.TRAIT  # soldered to the end of an inner cable
    CABLE_END = "cable end", Form.TRAIT  # any other end of a cable
    CLEVIS = "clevis", Form.TRAIT  # fork at the end of a rod or a cable

    # --- rubbers, bushes and what sets a distance ---
    GLAZING_RUBBER = "glazing rubber", Form.SHAPE  # section that grips glass and flange
    RUBBER = "rubber", Form.SHAPE  # a loose half of a bush
    RUBBER_PAD = "rubber pad", Form.SHAPE  # under load
    RUBBER_STRAP = "rubber strap", Form.SHAPE  # a hanger
    RUBBER_SLEEVE = "rubber sleeve", Form.SHAPE  # joins two pipes
    BONDED_BUSH = "bonded rubber bush", Form.SHAPE  # twists, so it is closed at laden height
    BONDED_MOUNTING = "bonded rubber mounting", Form.SHAPE  # rubber joined to plates
    BUSH = "bush", Form.SHAPE  # bearing of a pivot
    SLEEVE = "sleeve", Form.SHAPE  # tube that sets the squeeze
    SPACER = "spacer", Form.SHAPE  # sets a distance
    CUP_WASHER = "cup washer", Form.SHAPE  # dished; holds a rubber
    PLAIN_WASHER = "plain washer", Form.SHAPE  # flat
    THICK_WASHER = "thick washer", Form.SHAPE  # spreads a high load
    CLAMP_PLATE = "clamp plate", Form.SHAPE  # bridges two flanges

    # --- no fastener at all ---
    SITS_IN = "sits in", Form.TRAIT  # held by shape and weight only
    PRESS_FIT = "press fit", Form.TRAIT  # held by its own tightness
    BONDED = "bonded", Form.TRAIT  # glued or vulcanised
    WELDED = "welded", Form.TRAIT  # cut, not undone

    # --- locking ---
    SPLIT_PIN = "split pin", Form.PIN, Role.LOCK  # the size matters; always new
    TAB_WASHER = "locking tab washer", Form.SHAPE, Role.LOCK  # a tab bent up against a flat
    SPRING_WASHER = "spring washer", Form.SHAPE, Role.LOCK  # split ring
    SHAKEPROOF_WASHER = "shakeproof washer", Form.SHAPE, Role.LOCK  # toothed; also earths
    INSERT = "self-locking insert", Form.RING_TRAIT, Role.LOCK  # the ring in a self-locking nut
    LOCKNUT = "locknut", Form.RING, Role.LOCK  # a second nut, tightened on the first
    LOCKWIRE = "lockwire", Form.SHAPE, Role.LOCK  # pulls the right way; always new
    THREADLOCK = "threadlock", Form.TRAIT, Role.LOCK  # cures before load
    STAKING = "staking", Form.TRAIT, Role.LOCK  # metal driven into a slot
    PEENED = "peened", Form.TRAIT, Role.LOCK  # the end hammered over

    # --- sealing ---
    OLIVE = "olive", Form.SHAPE, Role.SEAL  # soft ring crushed on a tube
    GASKET = "gasket", Form.SHAPE, Role.SEAL  # between two faces
    COPPER_WASHER = "copper washer", Form.SHAPE, Role.SEAL  # crushed; new each time
    FIBRE_WASHER = "fibre washer", Form.SHAPE, Role.SEAL  # as copper, for fuel
    OIL_SEAL = "oil seal", Form.SHAPE, Role.SEAL  # lip on a turning shaft
    O_RING = "O-ring", Form.SHAPE, Role.SEAL  # round section in a groove
    SEALING_RING = "sealing ring", Form.SHAPE, Role.SEAL  # any other ring that seals
    SEALANT = "sealant", Form.TRAIT, Role.SEAL  # out of a tube
    GROMMET = "grommet", Form.SHAPE, Role.SEAL  # lines a hole that something passes
    BOOT = "boot", Form.SHAPE, Role.SEAL  # bellows over a joint
    FELT_STRIP = "felt strip", Form.SHAPE, Role.SEAL  # keeps dust and noise out
    VAPOUR_SHEET = "vapour sheet", Form.SHAPE, Role.SEAL  # behind a door's trim

    @property
    def is_threaded(self) -> bool:
        """Whether its specification has a thread."""
        return self.form in _THREADED

    @property
    def has_length(self) -> bool:
        """Whether its specification has a length."""
        return self.form in _LENGTHY


_BY_NAME: Mapping[str, FastenerKind] = {
    **{kind.value.casefold(): kind for kind in FastenerKind},
    # Other words for the same thing; the American ones beside the British.
    "cap, threaded": FastenerKind.THREADED_CAP,
    "set screw": FastenerKind.SETSCREW,
    "machine screw": FastenerKind.SCREW,
    "countersunk": FastenerKind.COUNTERSUNK_SCREW,
    "p clip": FastenerKind.P_CLIP,
    "p clip screw": FastenerKind.P_CLIP_SCREW,
    "u bolt": FastenerKind.U_BOLT,
    "u clamp": FastenerKind.U_CLAMP,
    "slotted nut": FastenerKind.CASTLE_NUT,
    "castellated nut": FastenerKind.CASTLE_NUT,
    "lug nut": FastenerKind.WHEEL_NUT,
    "speed nut": FastenerKind.SPIRE_NUT,
    "lock nut": FastenerKind.LOCKNUT,
    "jam nut": FastenerKind.LOCKNUT,
    "self locking nut": FastenerKind.SELF_LOCKING_NUT,
    "compression nut": FastenerKind.UNION_NUT,
    "tube nut": FastenerKind.PIPE_NUT,
    "washer": FastenerKind.PLAIN_WASHER,
    "flat washer": FastenerKind.PLAIN_WASHER,
    "lock washer": FastenerKind.SPRING_WASHER,
    "split washer": FastenerKind.SPRING_WASHER,
    "star washer": FastenerKind.SHAKEPROOF_WASHER,
    "tab washer": FastenerKind.TAB_WASHER,
    "fiber washer": FastenerKind.FIBRE_WASHER,
    "snap ring": FastenerKind.CIRCLIP,
    "hose clamp": FastenerKind.HOSE_CLIP,
    "locking wire": FastenerKind.LOCKWIRE,
    "o ring": FastenerKind.O_RING,
    "vapor sheet": FastenerKind.VAPOUR_SHEET,
    "blade terminal": FastenerKind.PUSH_ON,
}
_IN_TEXT = re.compile(
    # The longest first, so that a castle nut is not a nut with an odd word before it.
    r"(?<![\w-])(?:"
    + "|".join(re.escape(name) for name in sorted(_BY_NAME, key=len, reverse=True))
    + r")s?(?![\w-])",
    re.IGNORECASE,
)


def role_of(kind: FastenerKind) -> Role:
    """What this kind does in a joint."""
    return kind.role


def is_piece(kind: FastenerKind) -> bool:
    """Tell whether it is a loose piece once its joint is undone: something to bag and to count.

    A taper or a weld is none; nor is what stays on its part, such as a captive nut, or the pipe
    nut behind its flare.
    """
    return kind.form not in _TRAITS


def kind_named(name: str) -> FastenerKind:
    """Find the kind that goes by a name, singular, in any case.

    Raises
    ------
    NotFound
        No kind has this name; knows the nearest.

    Examples
    --------
    >>> kind_named("Tab washer")
    <FastenerKind.TAB_WASHER: 'locking tab washer'>
    """
    wanted = " ".join(name.split()).casefold()
    kind = _BY_NAME.get(wanted)
    if kind is None:
        nearest = get_close_matches(wanted, _BY_NAME, n=3)
        raise NotFound("kind of fastener", name, tuple(_BY_NAME[near].value for near in nearest))
    return kind


def find_kind(text: str) -> tuple[FastenerKind | None, str]:
    """Find the first kind named in a text; give it and the text without it.

    Examples
    --------
    >>> find_kind("5/16 UNF pinch bolt x 1 in")
    (<FastenerKind.PINCH_BOLT: 'pinch bolt'>, '5/16 UNF x 1 in')
    """
    found = _IN_TEXT.search(text)
    if found is None:
        return None, text
    name = found[0].casefold()
    kind = _BY_NAME.get(name) or _BY_NAME[name.removesuffix("s")]
    rest = f"{text[: found.start()]} {text[found.end() :]}"
    return kind, " ".join(rest.split())
