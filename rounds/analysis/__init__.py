"""Analysis: pure computing over what the book knows. No files, no database, no clock, no screen."""
