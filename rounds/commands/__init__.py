"""The commands: arguments in, words and data out; everything else is imported where it runs."""
