"""Husbandry: what the trade does, as plain values. No files, no database, no clock, no screen."""
