"""Documents whose look is kept as a picture, as made of a car: each list, and the history file.

``python -m tests.workshop.printing.drawn`` draws the pictures anew; look at them before they are
kept. Tags and cards, whose look has more to it, are kept in ``tests/paper``.
"""

from io import BytesIO
from pathlib import Path

from PIL import Image

from putback.logbook.entries.working import Found, Measured, PhotoTaken
from putback.vehicle.ids import Ref
from putback.workshop.plans.plans import follow_rebuild
from putback.workshop.printing.documents import document_called
from putback.workshop.printing.wanted import Wanted
from tests.paper.drawn import kept, picture
from tests.stores import ANN, PHONE
from tests.workshop.lines import CAR, Lines
from tests.workshop.printing.hose_car import hose_car

GOLDEN = Path(__file__).parent / "golden"
PAGES = {
    "walk-round": 0,
    "open": 0,
    "torque": 0,
    "hardware": 0,
    "orders": 0,
    "routes": 0,
    "pipes": 0,
    "manifest": 0,
    "history": 2,
}
"""Documents, and the page of each that is kept: of the history file, that with a photo."""


def car() -> Wanted:
    """The car half apart: bags filled, a hose open, something found, measured, photographed."""
    lines = hose_car()
    into = BytesIO()
    Image.linear_gradient("L").convert("RGB").save(into, "JPEG")
    photo = lines.workshop.photos.put(into.getvalue())
    log(
        lines, PhotoTaken(photo=photo, of=("part:lid",), caption="before", media_type="image/jpeg")
    )
    lines("undone lid-pump 4/4 tag=3HNA")
    lines("undone hose-pump tag=3CAH")
    lines("undone pump-frame 2/2 tag=3HNA")
    log(
        lines,
        Found(of="part:pump", what="bore scored"),
        Measured(of="part:pump", what="end float", value=0.2, unit="mm", low=0.05, high=0.15),
    )
    lines("made pump-frame final torque='40 N·m'")
    follow_rebuild(lines.workshop, CAR)
    return Wanted(lines.workshop, CAR, PHONE, lift=(Ref("part:pump"),), is_rebuild=True)


def log(lines: Lines, *bodies: object) -> None:
    """Log bodies, a minute later."""
    lines.watch.put_on(minutes=1)
    lines.workshop.log(CAR, bodies, who=ANN, device=PHONE)


def drawn(name: str, wanted: Wanted) -> Image.Image:
    """Make a document, and draw the page of it that is kept."""
    return picture(document_called(name).make(wanted), PAGES[name])


def main() -> None:
    """Draw each anew."""
    wanted = car()
    GOLDEN.mkdir(exist_ok=True)
    for name in PAGES:
        (GOLDEN / f"{name}.png").write_bytes(kept(drawn(name, wanted)))


if __name__ == "__main__":
    main()
