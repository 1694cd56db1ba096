"""Printing: sentences for people, JSON for programs."""

import json
from dataclasses import asdict, is_dataclass

import click

from monitor.domain.ledger import canonical


def say(value: object, *, as_json: bool, text: str) -> None:
    """Print the JSON of a value, or its text."""
    click.echo(to_json(value) if as_json else text)


def to_json(value: object) -> str:
    """Indented JSON; dates and ids as text."""
    return json.dumps(
        json.loads(canonical(_plain(value))), indent=2, ensure_ascii=False
    )


def _plain(value: object) -> object:
    if is_dataclass(value) and not isinstance(value, type):
        return asdict(value)
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value
