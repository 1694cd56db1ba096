"""Which version of the program this is."""

from importlib.metadata import PackageNotFoundError, version


def program_version() -> str:
    """Version as installed, "unknown" for a bare copy of the source."""
    try:
        return version("underprop")
    except PackageNotFoundError:
        return "unknown"
