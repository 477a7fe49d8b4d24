"""What a substance or a mixture does to people and fire, and what its label says of it."""
