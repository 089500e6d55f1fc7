"""The picture on the screen, what lies over it, and the tools that point and draw on it."""
