"""Where config lives and how its files are read: never trusted, always with positions."""
