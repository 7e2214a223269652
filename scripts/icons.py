"""Draw the app's icons: a tag on a bag's string, as in ``icon.svg``; run after that changed."""

from pathlib import Path

from PIL import Image, ImageDraw

STATIC = Path(__file__).parent.parent / "src" / "putback" / "web" / "static" / "putback"
PAPER, INK, PETROL = "#f5f2e9", "#1d2422", "#0e5a73"
OVER = 4
"""So many times larger it is drawn, and then made smaller: that smooths the edges."""


def icon(size: int) -> Image.Image:
    """Draw the tag in the middle three fifths, so that any mask leaves it whole; ``size`` [px]."""
    large = size * OVER
    image = Image.new("RGB", (large, large), PAPER)
    pen = ImageDraw.Draw(image)
    scale = large * 0.62 / 32

    def at(x: float, y: float) -> tuple[float, float]:
        return large * 0.19 + x * scale, large * 0.19 + y * scale

    outline = [at(10, 6), at(28, 6), at(28, 26), at(10, 26), at(3, 16), at(10, 6), at(28, 6)]
    pen.line(outline, fill=INK, width=round(2 * scale), joint="curve")
    pen.ellipse((*at(8.6, 13.6), *at(13.4, 18.4)), outline=INK, width=round(1.8 * scale))
    for y, end in ((12, 25), (16, 25), (20, 22)):
        pen.line([at(17, y), at(end, y)], fill=PETROL, width=round(2.4 * scale))
    return image.resize((size, size), Image.Resampling.LANCZOS)


def main() -> None:
    """Write both sizes that a home screen asks for."""
    for size in (192, 512):
        icon(size).save(STATIC / f"icon-{size}.png", optimize=True)


if __name__ == "__main__":
    main()
