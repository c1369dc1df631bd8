"""What is seen: the only folder that imports textual."""
