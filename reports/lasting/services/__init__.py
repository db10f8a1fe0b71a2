"""Read times off central control with their ends, and keep what curves say of them."""
