"""QR codes on pages."""

import io

from markupsafe import Markup


def qr(text: str) -> Markup:
    """A text as a QR code to be put into a page."""
    import segno

    out = io.BytesIO()
    segno.make(text, error="m").save(
        out, kind="svg", border=3, dark="#14130f", light="#ffffff", xmldecl=False, svgns=True, omitsize=True
    )
    return Markup(out.getvalue().decode())
