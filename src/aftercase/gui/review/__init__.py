"""The review room: the guide as a list, the line that remarks are typed in, what is asked."""
