"""The walk as question and answer lines, for screen readers, bad links and pipes."""
