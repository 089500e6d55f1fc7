"""The clock hours that lie at the four sides of the picture, for every lie of the eye.

Source: common practice: temporal is 9 in a right eye and 3 in a left one, superior is 12; worked
out by turning a clock face, and again by vectors of a lying patient.
"""

BOTTOM, LEFT, TOP, RIGHT = SIDES_DEG = (180.0, 270.0, 0.0, 90.0)
"""Clockwise from straight up on the picture as shown."""

AT_THE_SIDES = {
    ("right", "temporal", False): (9, 12, 3, 6),
    ("left", "temporal", False): (3, 6, 9, 12),
    ("right", "superior", False): (12, 3, 6, 9),
    ("left", "superior", False): (12, 3, 6, 9),
    ("right", "superotemporal", False): (10.5, 1.5, 4.5, 7.5),
    ("left", "superotemporal", False): (1.5, 4.5, 7.5, 10.5),
    ("right", "temporal", True): (9, 6, 3, 12),
    ("left", "temporal", True): (3, 12, 9, 6),
    ("right", "superior", True): (12, 9, 6, 3),
    ("left", "superior", True): (12, 9, 6, 3),
}
"""Eye, seat, whether left and right are flipped; the hours at `SIDES_DEG`, the surgeon at the
bottom."""
