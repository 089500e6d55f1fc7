"""A case opens though it cannot be put on the list of recent cases."""

from tests.gui.hands import until


def test_a_case_opens_though_nothing_can_be_remembered(window, film_case, at):
    recents = at.state / "recents.json"
    recents.mkdir(parents=True)
    window.open_path(film_case)
    until(lambda: window.desk is not None and window.player.is_exact)
    assert window.room == "review"
