"""What a person sees: pages as data, and what draws them."""
