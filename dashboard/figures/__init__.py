"""Drawings: from frames and plain values to figures, nothing else."""
