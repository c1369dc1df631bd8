"""Lists and summaries as people and programs read them: text, CSV, JSON, Markdown, HTML.

Here: the report as a value, its renderers, the kinds of reports with their columns, and the
reports that more than one command prints.
Not here: arguments, exit codes and the book itself.
"""
