"""What a command found, and the forms it is printed in: text, CSV, JSON, Markdown and HTML."""
