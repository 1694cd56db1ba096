"""From readings to outlooks and standings."""
