"""A square to scan, as a drawing."""

import io

import segno


def square(text: str) -> str:
    """SVG of a QR code, error level M (ISO/IEC 18004), its quiet zone included."""
    drawn = io.BytesIO()
    code = segno.make(text, error="m", micro=False)
    code.save(drawn, kind="svg", xmldecl=False, svgns=True, border=4, omitsize=True)
    return drawn.getvalue().decode()
