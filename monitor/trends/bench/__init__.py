"""The workbench: invented worlds, and how the analysis does in them. Not for users."""
