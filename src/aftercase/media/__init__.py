"""Recordings: exact pictures at exact times.

Reading order: `source` (what may be asked, what is answered), `frametable` (when each frame is
shown), `seekplan` (where to enter), `container` (the only file that opens recordings),
`decoder` (one part's pictures), `recording` (parts as one clock), `reader` (answers the messages).

Sound: `soundstream` (one file's), `sound` (a recording's, on its clock), `soundprocess` (read in a
process of its own), `soundfeeder` (to a device in step with the `playclock`), `soundout` (devices).

What is kept so that it is not done again: `tablecache` (frame tables, in the columns of `packed`)
and `scrub` (small copies for browsing; built by `scrubbuild`, coded by `scrubcodec`).
"""
