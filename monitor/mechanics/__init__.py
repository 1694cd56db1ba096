"""What physics and biology say of an ageing support: screening only, no I/O."""
