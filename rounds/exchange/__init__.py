"""In and out: the CSV tables of a book. No terminal; the book only through :mod:`rounds.store`."""
