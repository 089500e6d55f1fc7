"""Arrays in, numbers out: what is measured on a picture; nothing here opens a film."""
