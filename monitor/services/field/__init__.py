"""What a phone takes to the tree and brings back."""
