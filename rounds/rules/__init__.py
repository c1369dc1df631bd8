"""Rules over readings and history: parsed from YAML documents, judged yes, no or unknown.

Pure: nothing here touches a file, the book, the clock or the screen.
"""
