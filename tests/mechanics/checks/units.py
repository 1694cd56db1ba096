"""Sizes of the units that published examples are written in."""

INCH = 25.4  # mm
FOOT = 304.8  # mm
LBF = 4.4482216  # N
KIP = 1000.0 * LBF  # N
KSI = 6.894757  # MPa
PSI = KSI / 1000.0  # MPa
KSF = 47.88026  # kPa
LB_FT = 1.488164  # kg/m
