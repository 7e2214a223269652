"""QR codes on a page (ISO/IEC 18004), drawn without style attributes."""

import segno
from django.utils.safestring import SafeString


def qr_of(text: str) -> SafeString:
    """Draw a text as an SVG to be scanned: black on white, in dark mode too, or phones fail."""
    code = segno.make(text, error="m", micro=False)
    drawing = code.svg_inline(scale=4, border=4, dark="#000", light="#fff", omitsize=True)
    return SafeString(drawing)
