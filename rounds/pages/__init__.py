"""What the books say, as pages: pure builders, one file a kind of page. See DEVELOPERS.md."""
