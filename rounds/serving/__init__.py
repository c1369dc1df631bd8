"""The walk in a browser: loopback only, a guard at the door, one process per open page."""
