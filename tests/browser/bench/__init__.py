"""How fast pages and form are: `ops/bench pages` and `ops/bench field`."""
