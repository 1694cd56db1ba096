"""The record on its way out: lists, maps."""
