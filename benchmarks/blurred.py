"""How well blurred and black pictures are told from good ones, on photographs of others.

``python -m benchmarks.blurred FOLDER`` degrades every photograph of a folder by known amounts and
says of how many the product would say that they look blurred or black. Nothing is downloaded: the
folder is one's own, or that of a package of sample photographs.
"""

import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from putback.pictures.quality import LOOKED_AT_PX, Quality, quality_of

Grey = NDArray[np.float64]


def moved(grey: Grey, length_px: int) -> Grey:
    """Shake along a row: the mean of so many points side by side [pixels]."""
    return np.asarray(ndimage.uniform_filter1d(grey, length_px, axis=1))


def moved_aslant(grey: Grey, length_px: int) -> Grey:
    """Shake along a diagonal by so many points [pixels]."""
    steps = round(length_px / 2**0.5)
    kernel = np.eye(steps) / steps
    return np.asarray(ndimage.convolve(grey, kernel, mode="nearest"))


def darker(grey: Grey, share: float) -> Grey:
    """Let only a share of the light in; what a camera gives has been raised to 1/2.2."""
    return np.asarray(255.0 * (share ** (1 / 2.2)) * grey / 255.0)


DEGRADED: Mapping[str, Callable[[Grey], Grey]] = {
    "as it is": lambda grey: grey,
    "out of focus, sigma 1 px": lambda grey: ndimage.gaussian_filter(grey, 1.0),
    "out of focus, sigma 2 px": lambda grey: ndimage.gaussian_filter(grey, 2.0),
    "out of focus, sigma 3 px": lambda grey: ndimage.gaussian_filter(grey, 3.0),
    "out of focus, sigma 5 px": lambda grey: ndimage.gaussian_filter(grey, 5.0),
    "shaken by 5 px": lambda grey: moved(grey, 5),
    "shaken by 15 px": lambda grey: moved(grey, 15),
    "shaken by 30 px": lambda grey: moved(grey, 30),
    "shaken by 15 px, aslant": lambda grey: moved_aslant(grey, 15),
    "a tenth of the light": lambda grey: darker(grey, 0.1),
    "a hundredth of the light": lambda grey: darker(grey, 0.01),
    "a thousandth of the light": lambda grey: darker(grey, 0.001),
}
"""What is done to each photograph, on the copy that is judged; 5 px of 640 are 31 of 4000."""


def grey_of(path: Path) -> Grey:
    """Read a photograph as it is judged: grey, its longer edge as long as the product's."""
    with Image.open(path) as opened:
        image = opened.convert("RGB")
        image.thumbnail((LOOKED_AT_PX, LOOKED_AT_PX))
        return np.asarray(image.convert("L"), dtype=np.float64)


def main(folder: Path, names: tuple[str, ...]) -> None:
    """Judge all, and say a line each way of degrading."""
    paths = [folder / each for each in names] or sorted(
        each for each in folder.iterdir() if each.suffix.lower() in {".jpg", ".jpeg", ".png"}
    )
    pictures = {path.name: grey_of(path) for path in paths}
    print(f"{len(pictures)} photographs: {', '.join(pictures)}")
    print(f"{'':26} blurred  black  sharpness, least to most")
    for words, degrade in DEGRADED.items():
        found: list[Quality] = [quality_of(degrade(grey)) for grey in pictures.values()]
        sharp = sorted(each.sharpness for each in found)
        blurred, black = (sum(each.is_blurred for each in found), sum(e.is_black for e in found))
        median = sharp[len(sharp) // 2]
        print(f"{words:26} {blurred:7} {black:6}  {sharp[0]:.1f} {median:.0f} {sharp[-1]:.0f}")


if __name__ == "__main__":
    main(Path(sys.argv[1]), tuple(sys.argv[2:]))
