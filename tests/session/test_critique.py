"""The critique of a case with its film: a spot burnt into every frame is the truth."""

from __future__ import annotations

import math
from fractions import Fraction
from io import BytesIO
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from aftercase.document.folder import new_review, write_review
from aftercase.edit.header import change_header
from aftercase.media.overlay import DRAWING_COLOURS
from aftercase.metrics.subject import Settings
from aftercase.model.base import NewId
from aftercase.model.case import Mask, Window
from aftercase.model.measure import Measure
from aftercase.model.review import Drawing, Origin, Remark, Reply, Review
from aftercase.session.header import save_header
from aftercase.session.opened import OpenedCase, open_case
from aftercase.session.places import Places
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.critique import write_critique

FRAME_US = 40_000
WIDTH_PX, HEIGHT_PX = 360, 288
GREEN = (0, 200, 0)


def spot(number: int) -> tuple[float, float]:
    """Middle of a frame's spot, in shares of the decoded frame: it walks to the lower right."""
    return 0.2 + 0.05 * number, 0.25 + 0.04 * number


def frame_of(number: int) -> np.ndarray:
    array = np.full((HEIGHT_PX, WIDTH_PX, 3), 96, np.uint8)
    x, y = spot(number)
    column, row = round(x * WIDTH_PX), round(y * HEIGHT_PX)
    array[row - 4 : row + 4, column - 4 : column + 4] = GREEN
    return array


def film_at(path: Path, *, turn_deg: int = 0, mirrored: bool = False) -> Path:
    """Write ten frames, 25 a second, with pixels 16:15 and a display matrix."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=25)
        stream.width, stream.height, stream.pix_fmt = WIDTH_PX, HEIGHT_PX, "yuv444p"
        stream.codec_context.sample_aspect_ratio = Fraction(16, 15)
        stream.options = {"crf": "4"}
        stream.set_display_rotation(turn_deg, hflip=mirrored)
        for number in range(10):
            frame = av.VideoFrame.from_ndarray(frame_of(number), format="rgb24")
            container.mux(stream.encode(frame.reformat(format="yuv444p")))
        container.mux(stream.encode(None))
    return path


def ring_on(number: int, *, around: int | None = None, colour: str = "orange") -> Drawing:
    """A ring on a frame, round that frame's spot or another's."""
    x, y = spot(number if around is None else around)
    corners = ((x - 0.1, y - 0.1), (x + 0.1, y + 0.1))
    return Drawing(shape="ring", colour=colour, at_us=number * FRAME_US, points=corners)


def case_of(film: Path, folder: Path, at: Places, new_id: NewId) -> OpenedCase:
    return new_case(folder, Wanted("C1", "cataract-phaco", films=(film,)), at, new_id)


def write(opened: OpenedCase, review: Review) -> Review:
    return write_review(opened.folder, new_review(opened.folder, review), review).record


def reviewed(opened: OpenedCase, new_id: NewId, **remark: object) -> Review:
    fields = {"id": new_id(), "at_us": 0, "text": "Look", **remark}
    remarks = (Remark.model_validate(fields),)
    case_id = opened.case.id
    return write(opened, Review(id=new_id(), case=case_id, reviewer="T01", remarks=remarks))


def with_header(opened: OpenedCase, at: Places, **fields: object) -> OpenedCase:
    case = change_header(opened.case, **fields)
    save_header(opened.folder, opened.stored_case, case, opened.guide)
    return open_case(opened.folder.path, at)


def stills_of(opened: OpenedCase, at: Places) -> dict[str, Image.Image]:
    out = opened.folder.path / "out"
    written = write_critique(opened.folder.path, out, Settings(), at, reviewer="T01")
    assert written.notes == ()
    return {path.name: Image.open(BytesIO(path.read_bytes())) for path in out.glob("stills/*")}


def middle_of(image: Image.Image, colour: tuple[int, int, int]) -> tuple[float, float] | None:
    """The middle of the box round what has a colour, as x and y in pixels; None for nothing."""
    array = np.array(image.convert("RGB")).astype(int)
    rows, columns = np.nonzero(np.abs(array - colour).max(axis=2) < 60)
    if not len(rows):
        return None
    return (columns.min() + columns.max() + 1) / 2, (rows.min() + rows.max() + 1) / 2


@pytest.fixture
def plain(tmp_path: Path, at: Places, new_id: NewId) -> OpenedCase:
    return case_of(film_at(tmp_path / "film.mp4"), tmp_path / "c", at, new_id)


def test_a_review_without_remarks_has_no_stills(
    plain: OpenedCase, at: Places, new_id: NewId
) -> None:
    write(plain, Review(id=new_id(), case=plain.case.id, reviewer="T01"))
    assert stills_of(plain, at) == {}


def test_a_remark_without_drawings_has_the_picture_of_its_moment(
    plain: OpenedCase, at: Places, new_id: NewId
) -> None:
    review = reviewed(plain, new_id, at_us=3 * FRAME_US)
    stills = stills_of(plain, at)
    assert list(stills) == [f"{review.remarks[0].id}.jpg"]
    # 0.35 of 384 square columns and 0.37 of 288 rows.
    [image] = stills.values()
    assert image.size == (384, 288)
    assert middle_of(image, GREEN) == pytest.approx((134.4, 106.6), abs=1.5)
    assert middle_of(image, DRAWING_COLOURS["orange"]) is None


@pytest.mark.parametrize("mirrored", [False, True], ids=["plain", "mirrored"])
@pytest.mark.parametrize("turn_deg", [0, 90, 180, 270])
def test_a_measured_ring_lies_round_its_spot_in_the_report(
    turn_deg: int, mirrored: bool, tmp_path: Path, at: Places, new_id: NewId
) -> None:
    """Five places 0.1 of the width from the spot; the page names the measure and its pixels."""
    film = film_at(tmp_path / "film.mp4", turn_deg=turn_deg, mirrored=mirrored)
    opened = case_of(film, tmp_path / "c", at, new_id)
    x, y = spot(5)
    edge = tuple(
        (x + 0.1 * math.cos(turn), y + 0.1 * 384 / 288 * math.sin(turn))
        for turn in (2 * math.pi * n / 5 for n in range(5))
    )
    measure = Measure(id=new_id(), kind="ring", at_us=5 * FRAME_US, points=edge)
    case_id = opened.case.id
    write(opened, Review(id=new_id(), case=case_id, reviewer="T01", measures=(measure,)))
    stills = stills_of(opened, at)
    assert list(stills) == [f"{measure.id}.jpg"]
    [image] = stills.values()
    green, sky = middle_of(image, GREEN), middle_of(image, DRAWING_COLOURS["sky"])
    assert green is not None
    assert sky == pytest.approx(green, abs=3)
    page = (opened.folder.path / "out" / "critique.md").read_text("utf-8")
    assert "| Mean diameter | 76.8 ±" in page  # a fifth of 384 square columns


@pytest.mark.parametrize("mirrored", [False, True], ids=["plain", "mirrored"])
@pytest.mark.parametrize("turn_deg", [0, 90, 180, 270])
def test_a_ring_drawn_round_a_spot_lies_round_it_in_the_report(
    turn_deg: int, mirrored: bool, tmp_path: Path, at: Places, new_id: NewId
) -> None:
    """The remark sits two frames before the one that was drawn on, whose picture is shown."""
    film = film_at(tmp_path / "film.mp4", turn_deg=turn_deg, mirrored=mirrored)
    opened = case_of(film, tmp_path / "c", at, new_id)
    reviewed(opened, new_id, at_us=3 * FRAME_US, drawings=(ring_on(5),))
    [image] = stills_of(opened, at).values()
    assert image.size == ((384, 288) if turn_deg in (0, 180) else (288, 384))
    green = middle_of(image, GREEN)
    assert green is not None
    assert middle_of(image, DRAWING_COLOURS["orange"]) == pytest.approx(green, abs=1.5)
    # Frame 5's spot is at (0.45, 0.45): 172.8 of 384 columns, 129.6 of 288 rows.
    far = {172.8, 384 - 172.8}, {129.6, 288 - 129.6}
    across, down = far if turn_deg in (0, 180) else far[::-1]
    assert min(abs(green[0] - one) for one in across) < 1.5
    assert min(abs(green[1] - one) for one in down) < 1.5


def test_two_frames_that_were_drawn_on_give_two_stills_each_with_its_own_drawing(
    plain: OpenedCase, at: Places, new_id: NewId
) -> None:
    drawings = (ring_on(6, colour="white"), ring_on(2), ring_on(2, colour="sky", around=7))
    review = reviewed(plain, new_id, at_us=FRAME_US, drawings=drawings)
    stills = stills_of(plain, at)
    name = review.remarks[0].id
    assert sorted(stills) == [f"{name}-2.jpg", f"{name}.jpg"]
    first, second = stills[f"{name}.jpg"], stills[f"{name}-2.jpg"]
    colours = DRAWING_COLOURS
    assert middle_of(first, colours["orange"]) == pytest.approx(middle_of(first, GREEN), abs=1.5)
    assert middle_of(first, colours["sky"]) is not None
    assert middle_of(first, colours["white"]) is None
    assert middle_of(second, colours["white"]) == pytest.approx(middle_of(second, GREEN), abs=1.5)
    assert middle_of(second, colours["orange"]) is None
    page = (plain.folder.path / "out/critique.md").read_text("utf-8")
    assert "*Drawn on the picture at 0:00:00.080*" in page
    assert "*Drawn on the picture at 0:00:00.240*" in page


def test_what_lies_outside_the_case_is_not_shown_though_it_was_drawn_on(
    plain: OpenedCase, at: Places, new_id: NewId
) -> None:
    """The window is frames 0 to 4; then the picture of the remark's moment stands in."""
    reviewed(plain, new_id, at_us=FRAME_US, drawings=(ring_on(6),))
    window = Window(start_us=0, end_us=5 * FRAME_US)
    [image] = stills_of(with_header(plain, at, window=window), at).values()
    assert middle_of(image, DRAWING_COLOURS["orange"]) is None
    # Frame 1's spot: 0.25 of 384, 0.29 of 288.
    assert middle_of(image, GREEN) == pytest.approx((96, 83.5), abs=1.5)


def test_a_mask_covers_picture_and_drawing_wherever_it_holds_for_part_of_the_frame(
    plain: OpenedCase, at: Places, new_id: NewId
) -> None:
    reviewed(plain, new_id, drawings=(ring_on(2),))
    mask = Mask(
        id=new_id(), start_us=3 * FRAME_US - 1, end_us=3 * FRAME_US, left=0.0, top=0.0,
        right=1.0, bottom=1.0,
    )  # fmt: skip
    [image] = stills_of(with_header(plain, at, masks=(mask,)), at).values()
    assert np.array(image.convert("L")).max() < 8


def test_a_reply_is_printed_once_its_author_releases_it(
    plain: OpenedCase, at: Places, new_id: NewId
) -> None:
    remark = reviewed(plain, new_id).remarks[0]
    to = Origin(case=plain.case.id, reviewer="T01", revision=1, id=remark.id)
    reply = Reply(id=new_id(), to=to, at_us=0, text="Where exactly?", asks=True)
    trainee = Review(
        id=new_id(), case=plain.case.id, reviewer="R01", role="trainee", replies=(reply,)
    )
    page = plain.folder.path / "out/critique.md"
    states = ("draft", "sealed", "released")
    for revision, state in enumerate(states, start=1):
        write(plain, trainee.changed(state=state, revision=revision))
        stills_of(plain, at)
        printed = "*Question of R01 (trainee):* Where exactly?" in page.read_text("utf-8")
        assert printed == (state == "released")
