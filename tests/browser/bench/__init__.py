"""How fast the pages are over a large record: `ops/bench pages`."""
