"""A square to scan, as a drawing."""

import io
from functools import lru_cache

import segno


@lru_cache(maxsize=64)  # every seal of a paper holds the same one
def square(text: str) -> str:
    """SVG of a QR code, error level M (ISO/IEC 18004), its quiet zone included."""
    drawn = io.BytesIO()
    code = segno.make(text, error="m", micro=False)
    code.save(drawn, kind="svg", xmldecl=False, svgns=True, border=4, omitsize=True)
    return drawn.getvalue().decode()
