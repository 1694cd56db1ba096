"""What was typed, read into commands or into sentences of refusal."""
