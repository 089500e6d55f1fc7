"""What both doors call: open cases, saving, places on this computer, and the tasks."""
