"""Attributes of HTML that Dash takes by their own names."""

from typing import Any


def aria(**named: str) -> dict[str, Any]:
    """For screen readers.

    Examples
    --------
    >>> aria(label="Pages")
    {'aria-label': 'Pages'}
    """
    return {f"aria-{name}": value for name, value in named.items()}


def data(**named: str) -> dict[str, Any]:
    """For styles.

    Examples
    --------
    >>> data(heading="Day")
    {'data-heading': 'Day'}
    """
    return {f"data-{name}": value for name, value in named.items()}
