"""The record for other programs: JSON under /api/v1, features under /ogc."""
