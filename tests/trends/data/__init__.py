"""Published data, read as columns."""

from pathlib import Path

import numpy as np

_HERE = Path(__file__).parent


def columns(name):
    """Every column of a file, in its order."""
    return np.loadtxt(_HERE / f"{name}.csv", delimiter=",", skiprows=1).T


def rows_by_unit(name):
    """Times, and one row of readings for each unit."""
    t, *units = columns(name)
    return t, np.array(units)
