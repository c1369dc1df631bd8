"""The books: what every act changes, as plain values. No files, no database, no clock, no screen."""
