"""Recordings: exact pictures at exact times.

Reading order: `source` (what may be asked, what is answered), `frametable` (when each frame is
shown), `seekplan` (where to enter), `container` (the only file that opens recordings),
`decoder` (one part's pictures), `recording` (parts as one clock), `reader` (answers the messages).
"""
