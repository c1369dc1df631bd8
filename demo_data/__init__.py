"""The invented house of the demo: its tables, and the seeded generator that made them."""
