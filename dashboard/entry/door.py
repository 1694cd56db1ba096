"""The plain pages before, and beside, the record: they work without scripts."""

from html import escape

from flask import Response, make_response

from dashboard.components.brand import ICON


def door(title: str, body: str, status: int = 200) -> Response:
    """A small page with the mark of the house; `body` is HTML already."""
    html = f"""<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="robots" content="noindex">
<title>{escape(title)} · Underprop</title>
<link rel="icon" href="{ICON}">
<link rel="stylesheet" href="/assets/underprop.css">
</head>
<body class="door">
<main>
<p class="door-mark"><span class="brand-drawing" aria-hidden="true"></span></p>
<p class="door-name">Underprop</p>
<p class="door-line">The long memory and the watch for supports under trees.</p>
<h1>{escape(title)}</h1>
{body}
</main>
</body>
</html>"""
    return make_response(html, status)


def refusal(message: str) -> str:
    """Why not, for the head of a form; nothing if there is no message."""
    return f'<p class="refusal" role="alert">{escape(message)}</p>' if message else ""


def secret_once(title: str, label: str, secret: str, *, back: str) -> Response:
    """Show a secret the only time it is known."""
    return door(
        title,
        f'<p>{escape(label)}</p><p><code class="secret">{escape(secret)}</code></p>'
        "<p><strong>It is shown this once.</strong> Keep it where nobody else "
        f'reads.</p><p><a href="{escape(back)}">Back</a></p>',
    )
