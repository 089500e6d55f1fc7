"""The replay room: a released review as moments in order."""
