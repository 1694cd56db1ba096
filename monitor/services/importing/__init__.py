"""Files on their way in: kept, mended, tried, taken in, with progress that stays."""
