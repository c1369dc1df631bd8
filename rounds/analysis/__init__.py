"""Analysis: pure computing over pedigrees, candidates, trials and seasons.

Here: one package a subject, and what is computed straight from the books.
Not here: files, the database, the clock and the screen; numpy and scipy are imported only while one runs.
"""
