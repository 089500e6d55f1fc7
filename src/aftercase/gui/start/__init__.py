"""The start page: recent cases, what is open, and where films are dropped."""
